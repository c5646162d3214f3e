import type { BrakePosition } from '../../evidence/index.ts';
import type { Interval, Problem } from '../../units/index.ts';
import type { DescentVerdict, JudgedLimit } from './limits.ts';

/** How long the track takes to cool once the descent is over. */
export interface CoolDownTime {
  belowC: number;
  /** Standing still, s; 7200 when it takes longer. */
  standingS: number;
  standingCi95: Interval;
  /** Rolling at 25 km/h with the brake off, s. */
  rollingS: number;
  rollingCi95: Interval;
}

/** What one brake goes through. */
export interface DescentBrakeFinding {
  rotorMm: number;
  build: string;
  pads: string;
  trackMassKg: number;
  /** Highest temperature of the track, °C, under the best guess. */
  peakC: number;
  peakCi95: Interval;
  peakAtS: number;
  endC: number;
  /** Seconds with the track above 300, 400 and 600 °C. */
  secondsAbove: Record<string, number>;
  secondsAboveCi95: Record<string, Interval>;
  /** When the track first meets the least of its limits: best guess, and as early as 2.5 % of the guesses, s; null: it does not. */
  limitReachedS: number | null;
  limitReachedEarlyS: number | null;
  /** Pads with their backing, °C. */
  padsPeakC: number;
  padsPeakCi95: Interval;
  /** Caliper and fluid, °C. */
  caliperPeakC: number;
  caliperPeakCi95: Interval;
  /** Heat made at this brake, J. */
  heatedJ: number;
  heatedCi95: Interval;
  meanPowerW: number;
  greatestPowerW: number;
  /** How much hotter the rubbed surface is for the moment it lies under the pads, K. */
  surfaceExtraK: number;
  coolDown: CoolDownTime[];
}

/** Where the energy went, J; each as the best guess has it. */
export interface DescentEnergy {
  heightJ: number;
  /** Out of the motion: at the start less at the end. */
  motionJ: number;
  pedalledJ: number;
  airJ: number;
  rollingJ: number;
  brakedJ: number;
  /** Of what was braked: still in rotors, pads and calipers at the end, given to the air, radiated, led to the hubs. */
  storedJ: number;
  convectedJ: number;
  radiatedJ: number;
  toHubsJ: number;
  /** What height, motion and pedals gave less what air, road and brakes took, percent of what was given. */
  roadClosurePercent: number;
  /** What was braked less what became of it, percent. */
  heatClosurePercent: number;
}

/** The same descent with one thing changed, or ridden another way. */
export interface DescentVariant {
  kind: 'size' | 'build' | 'pads' | 'split' | 'speed' | 'rests' | 'pulse' | 'drag' | 'together';
  change: string;
  verdict: DescentVerdict;
  frontPeakC: number;
  frontPeakCi95: Interval;
  rearPeakC: number;
  rearPeakCi95: Interval;
}

export interface DescentFinding {
  schema: 'lapbench/descent@1';
  title: string | null;
  invented: boolean;
  front: DescentBrakeFinding;
  rear: DescentBrakeFinding;
  verdict: DescentVerdict;
  limits: JudgedLimit[];
  cautions: string[];
  road: {
    lengthM: number;
    /** From top to foot; below zero where it ends higher. */
    fallM: number;
    /** Height lost where it falls, rises between not taken off. */
    lostM: number;
    /** Relative standard uncertainty of the height lost. */
    fallUncertainty: number;
    durationS: number;
    meanKmh: number;
    fastestKmh: number;
    plan: string;
  };
  energy: DescentEnergy;
  /** The same road at the same mean speed, dragging and pulsing; null on a ride. */
  dragAndPulse: {
    drag: DescentVariant;
    pulse: DescentVariant & { onS: number; offS: number; fastestKmh: number; hardestShare: number };
  } | null;
  /** What was tried to bring it back within; empty when it is. */
  remedies: DescentVariant[];
  /** Whether any of them does. */
  bringsBack: boolean;
  inARow: {
    within: number;
    /** No limit was met in as many as were tried. */
    noLimitFound: boolean;
    betweenS: number;
    betweenKmh: number;
    peaksC: { front: number; rear: number }[];
  };
  /** From a measured cool-down; null without. */
  coolDownFit: {
    brake: BrakePosition;
    convectionWPerM2K: number;
    convectionCi95: Interval;
    /** The band without it. */
    publishedCi95: Interval;
    scatterK: number;
  } | null;
  /** Convection at the mean speed on the front rotor, W/(m² K). */
  convection: { centre: number; ci95: Interval; published: Record<string, number> };
  /** Thinned to 240 places at most. */
  trace: {
    timeS: number[];
    speedKmh: number[];
    brakeW: number[];
    frontC: number[];
    rearC: number[];
  };
  warnings: Problem[];
  method: 'descent 1';
  inputs: { file: string; sha256: string }[];
}
