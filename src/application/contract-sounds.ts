/**
 * What the application hands to its faces about sounds: recordings of a ride that howls, and plucks of its spokes.
 * Plain data, as in `contract.ts`, through which faces import it.
 */
import type { PluckSound, SoundFormat, SoundLevels } from '../core/evidence/index.ts';
import type { BrakeNoiseFinding, SpokeCurve } from '../core/methods/index.ts';
import type { Problem } from '../core/units/index.ts';

export type { PluckSound, SoundFormat, SoundLevels } from '../core/evidence/index.ts';
export type {
  BrakeNoiseFinding,
  CauseId,
  Explanation,
  Pluck,
  SpokeCurve,
  Suggestion,
  Tone,
} from '../core/methods/index.ts';

/** `noise`: a ride on which a brake sounds. `plucks`: spokes plucked one by one, all under the same torque. */
export type SoundKind = 'noise' | 'plucks';

/**
 * How far the analysis of a sound has come. `refused`: it cannot be read, and `problems` says why. `stopped`: a person
 * stopped it, or the server went down; `POST …/analyse` goes on.
 */
export type SoundState = 'waiting' | 'analysing' | 'ready' | 'refused' | 'stopped';

/** A line in the list of sounds. */
export interface SoundSummary {
  id: string;
  kind: SoundKind;
  title: string;
  /** YYYY-MM-DD. */
  date: string;
  /** Name or id of the setup that it belongs to; may be empty. */
  setup: string;
  /** Name of the sound file as it came, its bytes and their hash: kept unaltered. */
  file: string;
  bytes: number;
  sha256: string;
  changedAt: string;
  state: SoundState;
  /** Null before the analysis. */
  durationS: number | null;
  /** One sentence of the result, or why there is none. */
  headline: string;
}

/** `mix`: the mean of all channels; or the number of one, from 1. */
export type SoundChannel = 'mix' | number;

/** What is known of a ride that howled. Null: not told. */
export interface NoiseOptions {
  channel: SoundChannel;
  /** Bench item with the wheel sheet. */
  wheel: string | null;
  /** Bench item with tension readings of that wheel. */
  tensions: string | null;
  /** A recording of a stored day, or a file of its own that came in as an upload (as sounds do). */
  ride: { day: string; file: string } | { upload: string; file: string } | null;
  /** Where in the ride recording the sound begins, s from its first sample; null: by the clocks of both files. */
  startS: number | null;
  /** How far the sound recorder's zone is ahead of UTC, minutes; needed where its file gives local time only. */
  zoneMinutes: number | null;
  /** Rolling circumference of the wheel; null: 2.130 m, of a 28-622 tyre by ISO 5775. */
  circumferenceM: number | null;
  /** Mean torque of the brake on this wheel while it howled. */
  brakeTorqueNm: number | null;
  /** Passing once each turn. */
  rotorSlots: number | null;
  treadBlocks: number | null;
  /** Sounds of the kind `plucks` that belong to it. */
  plucks: string[];
}

/** How spokes were plucked. */
export interface PluckOptions {
  channel: SoundChannel;
  /** Torque on the hub with the brake locked; 0 is free. Not looked at while there is a lever. */
  brakeTorqueNm: number;
  /** A weight on a level lever that turns the wheel against its locked brake; null: none. */
  lever: { massKg: number; lengthM: number } | null;
  /** Spokes in the order plucked; null: from 1 round the wheel. */
  spokes: number[] | null;
  /** Plucks that do not count, by their number in `heard` (from 1), such as one that was done again. */
  leaveOut: number[];
  /** Bench item with the wheel sheet, for tensions. */
  wheel: string | null;
}

export interface SoundOptions {
  noise: NoiseOptions;
  plucks: PluckOptions;
}

/** A pluck of a recording of many: what was heard, and what was made of it. */
export interface HeardPluck {
  /** From 1, in order of time: `leaveOut` refers to it. */
  pluck: number;
  atS: number;
  endS: number;
  /** Null where nothing rings. */
  hz: number | null;
  ci95: [number, number] | null;
  q: number | null;
  /** 0 to 1; a tap or knock is near 0. */
  ringing: number;
  doubts: string[];
  partials: PluckSound['partials'];
  spoke: number | null;
  tensionN: number | null;
  tensionCi95: [number, number] | null;
  used: boolean;
  /** Why it is not used. */
  reason: string | null;
}

/** What a recording of plucks gave. */
export interface PluckFinding {
  brakeTorqueNm: number;
  heard: HeardPluck[];
  /** Frequency of each spoke against torque, where it can be told. */
  curves: SpokeCurve[];
  warnings: Problem[];
}

/** The same fields for both kinds of sound. */
interface SoundViewBase extends SoundSummary {
  /** Null until the file was read. */
  format: SoundFormat | null;
  levels: SoundLevels | null;
  /** Why there is no result, or beside one: what it refers to and is no longer there. */
  problems: Problem[];
  /** Of the analysis under way. */
  progress: { stage: string; fraction: number } | null;
}

export interface NoiseSoundView extends SoundViewBase {
  kind: 'noise';
  options: NoiseOptions;
  /** Mean spectrum of the whole recording, dB of full scale²/Hz, at most some 2,000 points. */
  spectrum: { hz: number[]; psdDb: number[] } | null;
  finding: BrakeNoiseFinding | null;
}

export interface PluckSoundView extends SoundViewBase {
  kind: 'plucks';
  options: PluckOptions;
  finding: PluckFinding | null;
}

/** Everything the page shows of one sound, but for its picture. */
export type SoundView = NoiseSoundView | PluckSoundView;

/** A change of a sound; what is left out stays. Of `options` only those named change. */
export interface SoundChange {
  title?: string;
  date?: string;
  setup?: string;
  options?: Record<string, unknown>;
}

/** Levels over time and frequency for drawing, of a whole sound or of a few seconds. */
export interface SoundPicture {
  /** Where the first column begins, and how wide each is. */
  fromS: number;
  columnS: number;
  columns: number;
  rows: number;
  /** Edges of the rows, Hz, from the lowest up: one more than rows. */
  edgesHz: number[];
  /**
   * Base64 of `columns` × `rows` bytes, column after column, each from the lowest row up. A byte `b` is
   * b/2 − 127.5 dB below full scale, of a tone that would fill its cell.
   */
  levels: string;
}

/** A file on its way into the library. */
export interface SoundUpload {
  upload: string;
  file: string;
  /** Of the whole file, as announced. */
  bytes: number;
  /** So many have arrived and are on the disk; the next piece begins here. */
  received: number;
}

/** A sound from a file that has arrived whole. */
export interface NewSound extends SoundChange {
  kind: SoundKind;
  upload: string;
}

/** Events of `GET /api/sounds/:id/events`, by name. */
export interface SoundEvents {
  progress: { stage: string; fraction: number };
  /** There is a new result, or a reason why not: fetch the view. */
  ready: { state: SoundState };
  changed: { changedAt: string };
}

/** Answer of `POST /api/sounds/hear`: plucks of a short recording that is not stored. */
export interface Hearing {
  format: SoundFormat;
  levels: SoundLevels;
  plucks: PluckSound[];
  warnings: Problem[];
}
