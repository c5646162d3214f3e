/** A bicycle's gears and what is asked of them, after checking, in SI units. */

/** One climb, ridden at a steady speed in still air. */
export interface SteadyClimb {
  name: string | null;
  /** Rise over run. */
  gradient: number;
  gradientStandardUncertainty: number;
  lengthM: number;
}

/** Who rides, with what resistance. */
export interface ClimbRider {
  massKg: number;
  massStandardUncertaintyKg: number;
  powerW: number;
  powerStandardUncertaintyW: number;
  /** The slowest turning of the cranks that the rider wants. */
  leastCadenceRpm: number;
  crr: number;
  crrStandardUncertainty: number;
  cdaM2: number;
  cdaStandardUncertaintyM2: number;
  airDensityKgM3: number;
  drivetrainEfficiency: number;
  drivetrainEfficiencyStandardUncertainty: number;
}

/** What the gears sheet says. */
export interface GearsSetup {
  title: string;
  invented: boolean;
  /** Teeth, as written. */
  chainrings: number[];
  /** Teeth of the sprockets, as written. */
  cassette: number[];
  /** Rolled out or from the designation; whole micrometres, so that arithmetic with it stays exact. */
  circumferenceUm: number;
  circumferenceStandardUncertaintyM: number;
  circumferenceFrom: 'measured' | 'designation';
  /** For the table of speeds, revolutions a minute. */
  cadenceRpm: number;
  /** Null: no climbs are asked. */
  rider: ClimbRider | null;
  climbs: SteadyClimb[];
  /** A recording whose steepest parts are climbs too, over lengths in metres; null: none. */
  course: { file: string; steepestM: number[] } | null;
}
