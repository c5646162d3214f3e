import type { Problem, Place } from '../units/index.ts';
import type { ColumnMap } from './column-map.ts';
import type { Recording } from './recording.ts';

/** All that is fitted and worn in one run. */
export interface Setup {
  id: string;
  name: string;
  /** Moment of inertia of both wheels together, kg m². Default 0.14 (both wheels, Martin et al. 1998, from memory). */
  wheelInertiaKgM2: number;
  /** Added to the system mass while this setup is ridden, kg. */
  massOffsetKg: number;
  /** Rolling radius, m. Default 0.336 (28-622 tyre, common practice, no source). */
  wheelRadiusM: number;
  /** Own rolling resistance when it differs from the day's. */
  crr: number | null;
}

/** A person's word on a lap that the method would treat otherwise. */
export interface LapOverrule {
  run: number;
  lap: number;
  use: boolean;
  reason: string | null;
}

/** One run: laps ridden in one go on one setup. */
export interface Run {
  setup: string;
  file: string;
  /** Seconds from the first sample of the file; null means from its start / to its end. */
  fromS: number | null;
  toS: number | null;
  remark: string | null;
}

/** What was ridden when, with what constants: the day sheet after its check, SI inside. */
export interface Day {
  title: string;
  /** ISO date, YYYY-MM-DD. */
  date: string;
  invented: boolean;
  system: { massKg: number; massStandardUncertaintyKg: number };
  constants: {
    crr: number;
    crrStandardUncertainty: number;
    drivetrainEfficiency: number;
    drivetrainEfficiencyStandardUncertainty: number;
    powerScaleStandardUncertainty: number;
    /** Bearing losses after Martin et al. 1998: 0.091 v + 0.0087 v² W. Default true. */
    bearingLosses: boolean;
  };
  /** Air for the whole day, or null where the recordings carry it. */
  weather: { temperatureC: number; pressureHPa: number; relativeHumidityPercent: number } | null;
  course: {
    kind: 'loop' | 'out-and-back';
    /** Length of one lap, m, when the person knows it; otherwise found. */
    lapLengthM: number | null;
    /** Start and finish gate, when the person wants it elsewhere than at the first lap's start. */
    gate: { latDeg: number; lonDeg: number } | null;
  };
  setups: Setup[];
  control: string;
  runs: Run[];
  overrules: LapOverrule[];
  /** How the day's CSV recordings name their columns (`csv: {columns: ...}` in the sheet); null: by their standard names. */
  csvColumns: ColumnMap | null;
  reference: { speedKmh: number; airDensityKgM3: number };
  /** Where in the sheet each run, setup and so on stands, for messages about it. */
  placeOf: (field: string) => Place;
}

/** A day sheet with its recordings: all that the field-drag method needs. */
export interface DayEvidence {
  day: Day;
  /** One for each run, in the order of `day.runs`; the same recording may serve several runs. */
  recordings: Recording[];
  /** Hash of each file, hex SHA-256, by file name. */
  inputs: { file: string; sha256: string }[];
  /** Trouble met while reading that did not stop the work. */
  warnings: Problem[];
}
