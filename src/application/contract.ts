/**
 * What the application hands to its faces: plain data, no functions, so that the page may import
 * these types without pulling in a file system. The HTTP interface carries exactly these shapes.
 */
import type { Problem } from '../core/units/index.ts';
import type {
  FieldDragFinding,
  StiffnessFinding,
  TensionFinding,
  WheelFinding,
} from '../core/methods/index.ts';

export type { Problem, ProblemCode, Place } from '../core/units/index.ts';
export type {
  RaceFinding,
  RaceSetup,
  RaceDifference,
  RacePlan,
  RaceWalk,
  FieldDragFinding,
  LapResult,
  Difference,
  SetupResult,
  ResidualRow,
  ResidualCheck,
  StiffnessFinding,
  StiffnessSeries,
  FittedReading,
  TensionFinding,
  SpokeTension,
  SideTension,
  NeighbourRun,
  BalancePlan,
  NippleTurn,
  WheelFinding,
  WheelSpoke,
  WheelComparison,
  WheelLoadCase,
  WheelUnderLoad,
  NippleInfluence,
  RimFit,
  DescentFinding,
  DescentBrakeFinding,
  DescentVariant,
  DescentVerdict,
  TyresFinding,
  WheelTyre,
  AtPressure,
  GearsFinding,
  GearRow,
  ClimbRow,
} from '../core/methods/index.ts';

export type * from './contract-sounds.ts';

export type DayState = 'draft' | 'kept';

/** A line in the list of days. */
export interface DaySummary {
  id: string;
  title: string;
  date: string;
  state: DayState;
  invented: boolean;
  setups: number;
  runs: number;
  recordings: number;
  /** ISO time of the last change. */
  changedAt: string;
  /** One sentence of the finding, or why there is none yet. */
  headline: string;
}

/** A recording as stored: never altered, addressed by hash. */
export interface StoredRecording {
  file: string;
  sha256: string;
  bytes: number;
  format: string;
  /** Null when it could not be read at all (then `problems` says why). */
  summary: {
    startEpochS: number | null;
    durationS: number;
    samples: number;
    channels: string[];
    lapMarks: number;
    meanPowerW: number | null;
    meanSpeedMps: number | null;
  } | null;
  problems: Problem[];
}

/** Track and traces for drawing, thinned to at most about 2,000 points. */
export interface RecordingTrace {
  file: string;
  timeS: number[];
  speedMps: (number | null)[];
  powerW: (number | null)[];
  altitudeM: (number | null)[];
  airspeedMps: (number | null)[];
  latDeg: (number | null)[];
  lonDeg: (number | null)[];
  lapMarksS: number[];
}

/** Everything the page shows of one day. */
export interface DayView {
  id: string;
  state: DayState;
  changedAt: string;
  /** The sheet as text (YAML), as the person wrote it or as the page made it. */
  sheet: string;
  /** The sheet as plain data for forms; null when the text cannot be read. */
  sheetData: unknown;
  /** What is wrong with the sheet as it stands, with lines. */
  sheetProblems: Problem[];
  recordings: StoredRecording[];
  /** Newest finding for the sheet as it stands; null when it could not be made. */
  finding: FieldDragFinding | null;
  /** Why there is no finding. */
  findingProblems: Problem[];
  /** True while a reduction for the current sheet is under way. */
  reducing: boolean;
}

/** Any refusal by the server: `{problems: [...]}` with status 4xx (or 500, our fault). */
export interface Refusal {
  problems: Problem[];
}

/**
 * A change to a day sheet made through a form. Runs and laps are counted from 1, as in the finding;
 * list positions inside a dotted path from 0, as in the place of a problem (`runs.0.setup`).
 */
export type DayEdit =
  | { op: 'set'; path: string; value: unknown }
  | { op: 'unset'; path: string }
  | { op: 'add-setup'; setup: SheetSetup }
  | { op: 'rename-setup'; setup: string; to: string }
  | { op: 'remove-setup'; setup: string }
  | { op: 'set-control'; setup: string }
  | { op: 'add-run'; run: SheetRun }
  | { op: 'remove-run'; run: number }
  | { op: 'set-run'; run: number; setup: string | null }
  | { op: 'overrule-lap'; run: number; lap: number; use: boolean; reason: string | null }
  | { op: 'clear-overrule'; run: number; lap: number };

/** A setup as the sheet writes it; only `id` is needed. */
export interface SheetSetup {
  id: string;
  name?: string;
  wheelInertiaKgM2?: number;
  massOffsetKg?: number;
  wheelRadiusM?: number;
  crr?: number;
}

/** A run as the sheet writes it; without a setup it waits to be assigned. */
export interface SheetRun {
  file: string;
  setup?: string;
  /** Clock from the start of the file, `hh:mm:ss`. */
  from?: string;
  to?: string;
  remark?: string;
}

/** Events of `GET /api/days/:id/events`, by name. */
export interface DayEvents {
  reducing: Record<string, never>;
  progress: { stage: string; fraction: number };
  finding: { finding: FieldDragFinding };
  problem: { problems: Problem[] };
  changed: { changedAt: string };
}

export type BenchKind = 'stiffness' | 'tension' | 'wheel';

/** A line in the list of bench items. */
export interface BenchSummary {
  id: string;
  kind: BenchKind;
  title: string;
  /** YYYY-MM-DD. */
  date: string;
  /** Name or id of the setup that it belongs to; may be empty. */
  setup: string;
  changedAt: string;
  /** One sentence of the result, or why there is none. */
  headline: string;
}

/** What the bench says of one setup of a day. */
export interface SetupBench {
  /** Id of the setup in the day's sheet. */
  setup: string;
  /** Newest change first. */
  items: BenchSummary[];
}

/** How stiffness readings are taken. */
export interface StiffnessOptions {
  preloadN: number;
  /** Hung on top of the preload. */
  loadN: number;
  /** What the loads of the readings are in, when the person said so; null: newtons, asked about where in doubt. */
  loadUnit: 'N' | 'kg' | null;
}

/** What the tension readings are, and what they are held against. */
export interface TensionOptions {
  as: 'tension' | 'gauge' | 'pitch';
  /** What tensions in readings or table are in, when the person said so; null: newtons, asked about where in doubt. */
  unit: 'N' | 'kgf' | 'lbf' | null;
  /** The gauge's own table as CSV; needed for `gauge`. */
  calibration: string;
  /** Which kind of spoke of that table, where it has several. */
  spokeType: string | null;
  /** Percent of the mean of the side; null: the usual one. */
  tolerancePercent: number | null;
  /** The maker's maximum; null when not known. */
  maximumN: number | null;
  /** For `pitch`: a spoke whose tension is known. */
  known: { spoke: number; tensionN: number } | null;
  /** How far the planned turns may move the rim; null: the usual. */
  lateralLimitMm: number | null;
  radialLimitMm: number | null;
  /** Bench item of the wheel sheet; null without one. */
  wheel: string | null;
}

export interface WheelOptions {
  /** Bench item of another wheel to compare with. */
  compareWith: string | null;
  /** Lateral stiffness from the bench, to which the rim is fitted. */
  benchLateralNPerMm: number | null;
  /** Its 95 % interval, carried through to the wheel compared with; null: not given. */
  benchLateralCi95: [number, number] | null;
}

export interface BenchOptions {
  stiffness: StiffnessOptions;
  tension: TensionOptions;
  wheel: WheelOptions;
}

export interface BenchResults {
  stiffness: StiffnessFinding;
  tension: TensionFinding;
  wheel: WheelFinding;
}

/** Everything the page shows of one bench item. */
export type BenchView = {
  [Kind in BenchKind]: BenchSummary & {
    kind: Kind;
    /** CSV or YAML as written. */
    input: string;
    options: BenchOptions[Kind];
    /** Null when it could not be made; then `problems` says why. */
    result: BenchResults[Kind] | null;
    /** Beside a result: that the wheel referred to is no longer there. The method's own warnings are in the result. */
    problems: Problem[];
    /** While `result` is null: the result of the newest input that gave one, and when it was made. */
    earlier: { result: BenchResults[Kind]; madeAt: string } | null;
    /** A wheel sheet as plain data for its form; null for readings and for text that cannot be read. */
    sheetData: unknown;
  };
}[BenchKind];

/** A change of a bench item; what is left out stays. */
export interface BenchChange {
  title?: string;
  date?: string;
  setup?: string;
  input?: string;
  /** Only those named change. */
  options?: Record<string, unknown>;
  /** For a wheel sheet, after `input`: single values changed, all else that is written there kept. */
  edits?: WheelSheetEdit[];
}

/** A value of a wheel sheet by its dotted path, `spokes.left.count`. */
export type WheelSheetEdit =
  { op: 'set'; path: string; value: number | string | boolean } | { op: 'unset'; path: string };

/** What one newton at one place of the rim does; all of it grows in proportion to the load. */
export interface UnitLoad {
  /** Where the load acts, degrees from spoke 1 in the direction of rotation. */
  positionDeg: number;
  /** Movement of the rim at `anglesDeg`, m per N: to the left, outwards, forwards. */
  leftM: number[];
  outwardM: number[];
  forwardM: number[];
  /** Change of tension of each spoke, N per N. */
  tensionN: number[];
  /** Load under which the first spoke goes slack, N; above it the proportion no longer holds. Null: none. */
  firstSlackN: number | null;
}

/** A wheel for drawing: its geometry, and its answer to a load anywhere on the rim. */
export interface WheelShapes {
  rimRadiusM: number;
  /** Angles at which the rim's movement is given, degrees from spoke 1. */
  anglesDeg: number[];
  spokes: {
    spoke: number;
    side: 'left' | 'right';
    tensionN: number;
    /** Ends in metres: to the left of the wheel's plane, and in it (from the axle, spoke 1 at angle 0). */
    rim: { leftM: number; radiusM: number; angleDeg: number };
    hub: { leftM: number; radiusM: number; angleDeg: number };
  }[];
  /** 1 N to the left, and 1 N towards the axle. */
  sideways: UnitLoad[];
  inwards: UnitLoad[];
  /** 1 N of the road with the rotation, as in braking at the hub; empty where all spokes are radial. */
  forwards: UnitLoad[];
}
