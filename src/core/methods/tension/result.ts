import type { Interval, Problem } from '../../units/index.ts';
import type { Side } from '../../evidence/index.ts';

/** One spoke after reading. */
export interface SpokeTension {
  /** From 1, round the rim. */
  spoke: number;
  side: Side;
  /** Mean of its readings, as read. */
  reading: number;
  times: number;
  tensionN: number;
  /** From the mean of its side, percent. */
  deviationPercent: number;
  insideTolerance: boolean;
  aboveMaximum: boolean;
}

/** Neighbours on one side that are all tight or all loose: such a run pulls the rim. */
export interface NeighbourRun {
  spokes: number[];
  kind: 'tight' | 'loose';
  /** Mean deviation of the run, percent. */
  deviationPercent: number;
}

export interface SideTension {
  side: Side;
  spokes: number;
  meanN: number;
  /**
   * Of the mean, from repeated readings and what is not sure in the calibration of a pitch; null when every
   * spoke was read once. Without a known spoke it runs from clamped to pinned ends.
   */
  meanCi95: Interval | null;
  /** Sample standard deviation over the spokes, N and percent of the mean. */
  spreadN: number;
  spreadPercent: number;
  lowestN: number;
  highestN: number;
  worst: { spoke: number; deviationPercent: number };
  outsideTolerance: number[];
  runs: NeighbourRun[];
}

/** Left tension through right tension. */
export interface SideRatio {
  /** Mean left / mean right. */
  measured: number;
  measuredCi95: Interval | null;
  /** What the geometry of hub and rim demands for a rim that stands still sideways; null without a wheel sheet. */
  demanded: number | null;
  /** Measured against demanded, percent. */
  differencePercent: number | null;
}

/** One nipple to turn. */
export interface NippleTurn {
  spoke: number;
  side: Side;
  /** Quarter turns; positive tightens. */
  quarterTurns: number;
}

/** The fewest turns found that bring all spokes inside. */
export interface BalancePlan {
  turns: NippleTurn[];
  /** Sum of turns, all nipples, in whole turns. */
  totalTurns: number;
  /** Whether every spoke ends inside the tolerance, below the maximum and the rim true. */
  reached: boolean;
  /** Tension of each spoke after the turns, in the order of `spokes`, N. */
  predictedN: number[];
  /** Largest deviation from its side's mean that is left, percent. */
  residualPercent: number;
  highestN: number;
  /** How far the turns move the rim, largest over the rim, mm. */
  lateralMm: number;
  radialMm: number;
  limits: { lateralMm: number; radialMm: number };
  /** Highest tension of any spoke on the way, turned in the order of `turns`, N. */
  highestOnTheWayN: number;
  /** Whether a search has shown that no plan has fewer quarter turns, or this is the fewest found. */
  fewest: 'proven' | 'found';
  /** Spokes that the plan leaves outside the tolerance or above the maximum. */
  outsideAfter: number[];
  /** In words: what the plan reaches and what it does not. */
  meaning: string;
}

/** How pitch was turned into tension. */
export interface PitchCondition {
  /** 0 pinned to 1 clamped between those two; the plain string stands apart. */
  condition: 'clamped' | 'pinned' | 'string' | 'calibrated';
  /** Rotational stiffness of the ends as a share: 0 pinned, 1 clamped; null for the string. */
  endFixity: number | null;
  /** The spoke whose tension was known; the first where there are several. */
  knownSpoke: { spoke: number; tensionN: number } | null;
  /** All of them. */
  knownSpokes: { spoke: number; tensionN: number }[];
  /** Spring against turning at each end, N·m/rad, for the spokes of the side with the first known one; null: clamped. */
  endSpringNmPerRad: number | null;
  /** How the spoke is taken to swing: a blade flat, across its thin side. */
  plane: 'flat';
  /** What the other conditions would have given for the mean spoke, N. */
  meanByConditionN: { clamped: number; pinned: number; string: number };
}

/** What the gauge's table covers, for the kind of spoke of each side. */
export interface GaugeRange {
  side: Side;
  points: number;
  reading: Interval;
  tensionN: Interval;
}

export interface TensionFinding {
  schema: 'lapbench/tension@1';
  as: 'tension' | 'gauge' | 'pitch';
  spokes: SpokeTension[];
  sides: SideTension[];
  tolerance: { percent: number; source: string };
  maximumN: number | null;
  ratio: SideRatio | null;
  pitch: PitchCondition | null;
  gauge: GaugeRange[] | null;
  /** Spokes that nobody read, as far as the sheet or the gaps between the others tell. */
  missing: number[];
  /** Null without a wheel sheet, or when nothing needs turning (`balanceReason` says which). */
  balance: BalancePlan | null;
  balanceReason: string | null;
  /** Pooled standard deviation of repeated readings, N; null when every spoke was read once. */
  repeatabilityN: number | null;
  readings: number;
  warnings: Problem[];
  cautions: string[];
  method: 'tension 1';
  inputs: { file: string; sha256: string }[];
}
