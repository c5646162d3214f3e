import type { Course } from '../../courses/index.ts';
import type { Problem } from '../../units/index.ts';
import type { Rider, YawTable } from './model.ts';
import type { Conditions } from './road.ts';

/** Power by place: even, by the slope of the road, or as a ride had it. */
export type PowerPlan =
  | { kind: 'constant'; powerW: number }
  /** Straight between the slopes given (increasing), held beyond them. */
  | { kind: 'gradient'; gradientPercent: number[]; powerW: number[] }
  /** By point of the course. */
  | { kind: 'ride'; powerW: Float64Array };

/** One setup to be ridden. */
export interface RaceSetupEvidence {
  id: string;
  name: string;
  cdaM2: number;
  yaw: YawTable | null;
  massOffsetKg: number;
  wheelInertiaKgM2: number;
  crrOffset: number;
  crrOffsetStandardUncertainty: number;
}

/** Standard uncertainties of what all setups share. */
export interface SharedDoubt {
  massKg: number;
  crr: number;
  /** Of each of the two parts of the wind, m/s. */
  windMps: number;
  /** As shares. */
  airDensity: number;
  power: number;
}

export interface RaceEvidence {
  name: string;
  invented: boolean;
  course: Course;
  conditions: Conditions;
  system: { massKg: number; wheelRadiusM: number };
  rider: Rider;
  power: PowerPlan;
  setups: RaceSetupEvidence[];
  /** Covariance of the setups' CdA, m⁴, row by row in their order. */
  cdaCovariance: Float64Array;
  /** Id of the setup the others are set against. */
  reference: string;
  doubt: SharedDoubt;
  /** How often the uncertain is drawn. */
  draws: number;
  /** Whether to look for the plan of least time, and what it holds. */
  plan: { holds: 'mean' | 'weighted'; leastW: number; mostW: number | null } | null;
  warnings: Problem[];
  inputs: { file: string; sha256: string }[];
}
