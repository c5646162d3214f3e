/**
 * A descent after its sheet is checked, in SI units: what is ridden, how fast, on which brakes.
 */

/** Diameters of rotors that defaults are known for, mm. */
export const rotorSizesMm = [140, 160, 180, 200, 203] as const;
export type RotorSizeMm = (typeof rotorSizesMm)[number];

/** One piece of steel, or steel faces on an aluminium core. */
export type RotorBuild = 'steel' | 'layered';
export type PadKind = 'resin' | 'metal';
export type BrakePosition = 'front' | 'rear';

/** One brake. What is null takes the default of its size. */
export interface DescentBrake {
  rotorMm: RotorSizeMm;
  build: RotorBuild;
  pads: PadKind;
  /** Radial width of the braking track. */
  trackWidthM: number | null;
  /** Thickness of the track as it is now, worn. */
  trackThicknessM: number | null;
  trackMassKg: number | null;
  carrierMassKg: number | null;
  /** Friction material left on each pad. */
  padDepthM: number | null;
}

/** Where it goes down: one even slope, or a recorded course. */
export type DescentCourse =
  { kind: 'slope'; lengthM: number; gradient: number } | { kind: 'file'; file: string };

/** How it is ridden. */
export type DescentPlan =
  | { kind: 'drag'; speedMps: number }
  | { kind: 'pulse'; speedMps: number; onS: number; offS: number }
  | { kind: 'ride'; file: string };

/** A cool-down that was measured on one of the brakes, brake off. */
export interface MeasuredCoolDown {
  brake: BrakePosition;
  speedMps: number;
  /** Of the air then. */
  airTemperatureC: number;
  /** Standard uncertainty of one reading. */
  uncertaintyK: number;
  timeS: number[];
  temperatureC: number[];
}

export interface Descent {
  title: string | null;
  invented: boolean;
  /** Null when the ride's own recording is the course. */
  course: DescentCourse | null;
  massKg: number;
  plan: DescentPlan;
  /** Share of the braking that the front does. */
  frontShare: number;
  front: DescentBrake;
  rear: DescentBrake;
  /** What boils behind the pads. */
  fluid: 'dot4' | 'dot51' | 'mineral';
  air: { temperatureC: number; pressureHPa: number };
  cdaM2: number;
  crr: number;
  wheelRadiusM: number;
  coolDown: MeasuredCoolDown | null;
  /** Between two descents in a row; minutes null: the way back up at that speed. */
  between: { minutes: number | null; speedMps: number };
}

/** A stretch of road that falls evenly; a gradient below zero rises. */
export interface DescentLeg {
  lengthM: number;
  /** Fall over run. */
  gradient: number;
}

/** A ride as the brakes saw it: samples on one clock. */
export interface DescentRide {
  timeS: ArrayLike<number>;
  speedMps: ArrayLike<number>;
  /** Speed downwards, m/s. */
  sinkMps: ArrayLike<number>;
  /** Pedalled power at the wheel, W; null when it was not recorded. */
  powerW: ArrayLike<number> | null;
}
