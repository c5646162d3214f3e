import type { Interval, Problem } from '../../units/index.ts';

/** Absolute drag area of one setup. */
export interface SetupResult {
  id: string;
  name: string;
  cdaM2: number;
  ci95: Interval;
  /** Laps and runs used. */
  laps: number;
  runs: number;
  lapsLeftOut: number;
}

export type Verdict = 'lower' | 'higher' | 'not separable';

/** One setup against control. */
export interface Difference {
  setup: string;
  deltaCdaM2: number;
  /** 95 % interval of this difference alone. */
  ci95: Interval;
  /** 95 % interval that holds for all differences to control at once (Dunnett). */
  ci95Simultaneous: Interval;
  /** Dunnett-adjusted, two-sided. */
  pAdjusted: number;
  wattsAtReference: number;
  wattsCi95: Interval;
  verdict: Verdict;
  /** Smallest true difference that this day would have shown with 80 % odds, m². */
  smallestVisibleM2: number;
  /** Effective degrees of freedom behind the interval. */
  degreesOfFreedom: number;
  laps: number;
  runs: number;
}

/** One lap as found on the road. Every lap found is listed, used or not. */
export interface LapResult {
  /** From 1, in the order of the sheet. */
  run: number;
  /** From 1 within its run. */
  lap: number;
  setup: string;
  /** Null where the lap could not be reduced. */
  cdaM2: number | null;
  /** Standard uncertainty of this lap's own value from measurement and wind, m². */
  standardUncertaintyM2: number | null;
  used: boolean;
  /** Why it is left out (or kept against the method's advice). */
  reason: string | null;
  overruled: boolean;
  /** Seconds from the first sample of the run's file. */
  fromS: number;
  toS: number;
  /** Seconds from the start of the day's first run. */
  dayTimeS: number;
  durationS: number;
  distanceM: number;
  meanSpeedMps: number;
  meanPowerW: number;
  airDensityKgM3: number;
  /** Mean wind of the lap as estimated: speed, and direction it blows from (null without headings). */
  windSpeedMps: number | null;
  windFromDeg: number | null;
  /** Spans cut out of the lap (braking, dropout, spike …), seconds from the file's first sample. */
  leftOut: { fromS: number; toS: number; reason: string }[];
}

/** One row of the energy balance, for the residual checks. */
export interface ResidualRow {
  run: number;
  lap: number;
  setup: string;
  dayTimeS: number;
  /** Along the lap, m. */
  positionM: number;
  speedMps: number;
  airspeedMps: number;
  yawDeg: number | null;
  /** Standardised residual. */
  z: number;
}

export interface ResidualCheck {
  name: string;
  /** e.g. lag-one autocorrelation, slope against speed. */
  statistic: number;
  pValue: number;
  passed: boolean;
  /** In words, what it means. */
  meaning: string;
}

/** Where the interval of a difference comes from: standard uncertainties, m². */
export interface BudgetLine {
  source: string;
  ofDifferenceM2: number;
  ofAbsoluteM2: number;
}

export interface FieldDragFinding {
  schema: 'lapbench/field-drag@1';
  title: string;
  date: string;
  invented: boolean;
  control: string;
  setups: SetupResult[];
  differences: Difference[];
  laps: LapResult[];
  /** The shared road: position along the lap, height above its start, m; track where positions exist. */
  road: {
    lapLengthM: number;
    positionM: number[];
    heightM: number[];
    latDeg: number[] | null;
    lonDeg: number[] | null;
    gate: { latDeg: number; lonDeg: number } | null;
  };
  reference: { speedKmh: number; airDensityKgM3: number };
  /** What the day taught about itself. */
  estimated: {
    airspeedScale: number | null;
    airspeedScaleStandardUncertainty: number | null;
    /** Change of CdA-equivalent over the day by drift of meter or rider, m² per hour. */
    driftM2PerHour: number;
    driftStandardUncertainty: number;
    lapScatterM2: number;
    runScatterM2: number;
    meanWindMps: number | null;
    usedAirspeed: boolean;
    usedAltitude: boolean;
    usedHeading: boolean;
  };
  residuals: { checks: ResidualCheck[]; rows: ResidualRow[] };
  budget: BudgetLine[];
  warnings: Problem[];
  /** Cautions that always stand with the result. */
  cautions: string[];
  method: 'field-drag 1';
  inputs: { file: string; sha256: string }[];
}
