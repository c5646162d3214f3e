import { standardGravityMps2 } from '../core/units/index.ts';

/** What the bicycle is like in this lap. */
export interface Machine {
  massKg: number;
  /** m + I/r²: what an accelerating force has to move. */
  effectiveMassKg: number;
  crr: number;
  bearingLosses: boolean;
}

/** Where it is and what blows there. */
export interface Surroundings {
  /** ½ρ·CdA, kg/m. */
  halfRhoCda: number;
  /** Sine of the road's angle, up is positive. */
  slope: number;
  headwindMps: number;
  crosswindMps: number;
}

/** Retarding forces, N; each positive when it slows a bicycle that rolls forward. */
export interface Forces {
  aeroN: number;
  rollingN: number;
  gradeN: number;
  bearingN: number;
}

/**
 * Forces on a bicycle at speed v (Martin et al. 1998): drag along the bike ½ρ·CdA·|V|·u with u the air
 * speed along the bike and |V| including the crosswind; rolling Crr·m·g·cosθ; grade m·g·sinθ; wheel
 * bearings (91 + 8.7 v) mN.
 */
export function forcesAt(v: number, machine: Machine, around: Surroundings): Forces {
  const u = v + around.headwindMps;
  const weight = machine.massKg * standardGravityMps2;
  return {
    aeroN: around.halfRhoCda * Math.hypot(u, around.crosswindMps) * u,
    rollingN: machine.crr * weight * Math.sqrt(1 - around.slope * around.slope),
    gradeN: weight * around.slope,
    bearingN: machine.bearingLosses ? (91 + 8.7 * v) * 1e-3 : 0,
  };
}

/**
 * Speed after a step, by the midpoint rule (second-order Runge-Kutta), with driving and braking force
 * held over the step. Never below zero: a bicycle does not roll backwards under a rider.
 */
export function stepSpeed(
  v: number,
  dtS: number,
  driveN: number,
  machine: Machine,
  around: Surroundings,
): number {
  const rate = (speed: number): number => {
    const f = forcesAt(speed, machine, around);
    return (driveN - f.aeroN - f.rollingN - f.gradeN - f.bearingN) / machine.effectiveMassKg;
  };
  const middle = Math.max(0, v + (dtS / 2) * rate(v));
  return Math.max(0, v + dtS * rate(middle));
}
