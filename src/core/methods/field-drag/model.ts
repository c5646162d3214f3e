/**
 * The equation of the method: what the rider puts in over a piece of road, less all that is not air,
 * is the drag area times what the air would take from one square metre.
 *
 *     η W − m_eff Δ(v²/2) − m g Δh − Crr m g Δs − bearings = A ∫ ½ ρ |V| u v dt
 *
 * u is the air's speed along the bike, |V| = √(u² + c²) with the crosswind c, v the ground speed, η the
 * drivetrain's efficiency. Terms after Martin et al. (1998), J Appl Biomech 14:276–291, integrated
 * over time.
 */
import { standardGravityMps2 } from '../../units/index.ts';

/** The terms of one piece of road that hold no unknown. */
export interface EnergyTerms {
  distanceM: number;
  /** Work at the pedals, J. */
  workJ: number;
  /** Gain of kinetic energy for each kg of effective mass, J/kg. */
  kineticPerKg: number;
  /** Mass that the bike shows to acceleration, wheels turning. */
  effectiveMassKg: number;
  massKg: number;
  crr: number;
  /** Height gained after the altimeters, m. */
  riseM: number;
  bearingJ: number;
}

/** Left side of the equation, J: what must go into the air, with `rise` m of height gained. */
export function airWorkJ(terms: EnergyTerms, efficiency: number, rise: number): number {
  const g = standardGravityMps2;
  return (
    efficiency * terms.workJ -
    terms.effectiveMassKg * terms.kineticPerKg -
    terms.massKg * g * rise -
    terms.crr * terms.massKg * g * terms.distanceM -
    terms.bearingJ
  );
}

/** Change of the left side for one unit of each constant, J. */
export const airWorkBy = {
  crr: (terms: EnergyTerms): number => -terms.massKg * standardGravityMps2 * terms.distanceM,
  massKg: (terms: EnergyTerms): number =>
    -terms.kineticPerKg -
    standardGravityMps2 * terms.riseM -
    terms.crr * standardGravityMps2 * terms.distanceM,
  efficiency: (terms: EnergyTerms): number => terms.workJ,
  riseM: (terms: EnergyTerms): number => -terms.massKg * standardGravityMps2,
};

/** Size of the air's velocity against the bike, never quite zero so that it can divide, m/s. */
export const airVelocityMps = (along: number, across: number): number =>
  Math.sqrt(along * along + across * across) || 1e-9;

/** Derivative of |V| u with the speed u along the bike. */
export const pullOfAlong = (along: number, velocity: number): number =>
  velocity + (along * along) / velocity;

/** Derivative of |V| u with the crosswind c. */
export const pullOfAcross = (along: number, across: number, velocity: number): number =>
  (along * across) / velocity;
