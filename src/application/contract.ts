/**
 * What the application hands to its faces: plain data, no functions, so that the page may import
 * these types without pulling in a file system. The HTTP interface carries exactly these shapes.
 */
import type { Problem } from '../core/units/index.ts';
import type { FieldDragFinding } from '../core/methods/index.ts';

export type { Problem, ProblemCode, Place } from '../core/units/index.ts';
export type {
  FieldDragFinding,
  LapResult,
  Difference,
  SetupResult,
  ResidualRow,
  ResidualCheck,
  StiffnessFinding,
  StiffnessSeries,
  FittedReading,
  WheelFinding,
  WheelSpoke,
  WheelComparison,
  RimFit,
} from '../core/methods/index.ts';

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
