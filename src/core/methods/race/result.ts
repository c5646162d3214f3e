import type { Corner } from '../../courses/index.ts';
import type { Interval, Problem } from '../../units/index.ts';

/** Where the energy of a ride went, J. What is pedalled covers the rest but what is done on foot. */
export interface RaceEnergy {
  /** At the power meter. */
  pedalledJ: number;
  drivetrainJ: number;
  aeroJ: number;
  rollingJ: number;
  bearingJ: number;
  /** Into height, negative downhill. */
  heightJ: number;
  /** Into speed. */
  speedJ: number;
  brakesJ: number;
  onFootJ: number;
  /** What does not close, in percent of what was spent. */
  closurePercent: number;
}

/** A stretch too steep for the power: the bike would stand. */
export interface RaceWalk {
  fromM: number;
  toM: number;
  steepestPercent: number;
  seconds: number;
}

export interface RaceSetup {
  id: string;
  name: string;
  cdaM2: number;
  /** 95 % interval of its CdA as carried through. */
  cdaCi95: Interval;
  massKg: number;
  timeS: number;
  timeCi95: Interval;
  meanSpeedMps: number;
  /** Of the time ridden, corners and walks counted as ridden. */
  meanPowerW: number;
  /** Power mean with exponent 4 of the means of 30 s. */
  weightedPowerW: number;
  energy: RaceEnergy;
  walks: RaceWalk[];
}

export type RaceVerdict = 'faster' | 'slower' | 'not separable';

/** One setup against the reference, in seconds: below 0 it is faster. */
export interface RaceDifference {
  setup: string;
  reference: string;
  deltaS: number;
  /** 95 % interval of this difference alone; what both share cancels in it. */
  ci95: Interval;
  verdict: RaceVerdict;
  /** Where on the course: seconds on climbs (above 2 %), on descents (below −2 %) and between. */
  onClimbsS: number;
  onFlatS: number;
  onDescentsS: number;
}

/** Courses of the ride by distance, thinned to at most 500 places. */
export interface RaceAlong {
  distanceM: number[];
  altitudeM: number[];
  gradientPercent: number[];
  /** Of the reference. */
  speedMps: number[];
  powerW: number[];
  elapsedS: number[];
  /** By setup: seconds behind the reference up to here; below 0 ahead. */
  behindS: { setup: string; seconds: number[] }[];
}

/** What a unit more of something costs the reference, s. */
export interface RaceSensitivities {
  perThousandthM2: number;
  perKg: number;
  perTenThousandthCrr: number;
  perWatt: number;
  /** One metre a second more wind from where it blows; null in still air. */
  perMpsOfWind: number | null;
}

/** A plan of power against the plan of the sheet. */
export interface RacePlan {
  /** What is held: the mean power, or the power mean with exponent 4 of the means of 30 s. */
  holds: 'mean' | 'weighted';
  heldW: number;
  timeS: number;
  /** Against the sheet's plan, s; below 0 faster. */
  gainS: number;
  /** 95 % interval of it on days that differ from the sheet's as its uncertainties say, both plans ridden as planned. */
  gainCi95: Interval;
  meanPowerW: number;
  weightedPowerW: number;
  leastW: number;
  mostW: number;
  stretches: { fromM: number; toM: number; powerW: number; gradientPercent: number }[];
}

export interface RaceFinding {
  schema: 'lapbench/race@1';
  name: string;
  invented: boolean;
  course: {
    name: string;
    lengthM: number;
    climbM: number;
    stepM: number;
    closed: boolean;
    /** Root mean square of the standard uncertainties of the slope, percent. */
    gradientStandardUncertaintyPercent: number;
    steepestPercent: number;
    corners: Corner[];
    /** Whether corners limit the speed. */
    cornersLimit: boolean;
  };
  reference: string;
  setups: RaceSetup[];
  differences: RaceDifference[];
  sensitivities: RaceSensitivities;
  along: RaceAlong;
  plan: RacePlan | null;
  /** How often the uncertain was drawn for the intervals. */
  draws: number;
  warnings: Problem[];
  cautions: string[];
  method: 'race 1';
  inputs: { file: string; sha256: string }[];
}
