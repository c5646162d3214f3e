import type { Interval, Problem } from '../../units/index.ts';
import type { Ratio } from './ratio.ts';

/** One gear of the table, easiest first. */
export interface GearRow {
  chainring: number;
  sprocket: number;
  /** In lowest terms: 34 by 34 is 1/1. */
  ratio: Ratio & { value: number };
  developmentM: number;
  /** At the cadence of the sheet. */
  speedKmh: number;
  /** How much harder than the gear before it in this table, percent; null for the easiest. */
  stepPercent: number | null;
  /** How much harder than the next larger sprocket on the same chainring, percent; null for the largest. */
  sprocketStepPercent: number | null;
  /** Whether another pair of chainring and sprocket gives exactly this ratio. */
  repeated: boolean;
}

/** One chainring's span, smallest first. */
export interface ChainringSpan {
  chainring: number;
  lowestRatio: number;
  highestRatio: number;
  /** Share of this ring's span that the next larger ring repeats, percent; null for the largest. */
  overlapPercent: number | null;
  /** Gears of the next larger ring that are no harder than this ring's hardest; null for the largest. */
  gearsRepeated: number | null;
}

/** A climb at the rider's power. */
export interface ClimbRow {
  name: string | null;
  gradientPercent: number;
  lengthM: number;
  speedKmh: number;
  speedKmhCi95: Interval;
  timeS: number;
  timeSCi95: Interval;
  /** In the easiest gear at that power: the slowest this power turns the cranks here is in any other. */
  easiestGear: { chainring: number; sprocket: number };
  cadenceRpm: number;
  cadenceRpmCi95: Interval;
  /** Power that the easiest gear demands at the rider's least cadence, W. */
  powerAtLeastCadenceW: number;
  powerAtLeastCadenceWCi95: Interval;
  /** The hardest gear that still turns at the least cadence at that power; null: none does. */
  hardestGear: { chainring: number; sprocket: number; cadenceRpm: number } | null;
  /** Largest ratio that keeps the least cadence at that power. */
  neededRatio: number;
  neededRatioCi95: Interval;
  /** Smallest sprocket that gives it with the smallest chainring. */
  neededSprocket: number;
  /** Cadence in the easiest gear against the least wanted, its interval counted. */
  verdict: 'turns' | 'marginal' | 'too hard';
}

export interface GearsFinding {
  schema: 'lapbench/gears@1';
  title: string;
  invented: boolean;
  chainrings: number[];
  cassette: number[];
  circumferenceM: number;
  circumferenceMCi95: Interval;
  circumferenceFrom: 'measured' | 'designation';
  cadenceRpm: number;
  /** Speeds and developments are as uncertain as the circumference: this share, percent. */
  circumferenceCi95Percent: number;
  gears: GearRow[];
  rings: ChainringSpan[];
  /** Hardest by easiest gear, percent. */
  rangePercent: number;
  /** Exactly different ratios. */
  distinctRatios: number;
  /** Teeth that the derailleur must take up between the two extremes. */
  chainCapacityTeeth: number;
  climbs: ClimbRow[];
  /** Place in `climbs` of the steepest; null without climbs. */
  steepest: number | null;
  warnings: Problem[];
  cautions: string[];
  method: 'gears 1';
  inputs: { file: string; sha256: string }[];
}
