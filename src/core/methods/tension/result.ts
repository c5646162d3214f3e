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
  /** Of the mean, from repeated readings; null when every spoke was read once. */
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
  /** In words: what the plan reaches and what it does not. */
  meaning: string;
}

/** How pitch was turned into tension. */
export interface PitchCondition {
  /** 0 pinned to 1 clamped between those two; the plain string stands apart. */
  condition: 'clamped' | 'pinned' | 'string' | 'calibrated';
  /** Rotational stiffness of the ends as a share: 0 pinned, 1 clamped; null for the string. */
  endFixity: number | null;
  /** The spoke whose tension was known. */
  knownSpoke: { spoke: number; tensionN: number } | null;
  /** What the other conditions would have given for the mean spoke, N. */
  meanByConditionN: { clamped: number; pinned: number; string: number };
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
