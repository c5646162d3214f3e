/**
 * Road load: the power that moves a bike and rider, term by term, after Martin, Milliken, Cobb,
 * McFadden, Coggan (1998), J Appl Biomech 14(3):276–291 (coefficients from memory; their worked
 * example is in the tests). The aero term takes the sign of the airspeed, so that a tailwind faster
 * than the bike pushes.
 */
import { standardGravityMps2 } from '../units/index.ts';

export interface RoadLoad {
  groundSpeedMps: number;
  /** Air against the bike along its axis; equals ground speed in still air. */
  airspeedMps: number;
  airDensityKgM3: number;
  cdaM2: number;
  /** Drag area of the turning spokes; 0.0044 m² for both wheels in Martin et al. Default 0: inside CdA. */
  spokeDragAreaM2?: number;
  crr: number;
  massKg: number;
  /** Rise over run. */
  gradient: number;
  accelerationMps2: number;
  /** Both wheels together. */
  wheelInertiaKgM2: number;
  wheelRadiusM: number;
  /** Whether to count bearing losses. Default true. */
  bearingLosses?: boolean;
  /** Share of the metered power that reaches the road. 1 for a meter in the rear hub. Default 1. */
  drivetrainEfficiency?: number;
  /** Default standard gravity. */
  gravityMps2?: number;
}

/** Power at the wheel by term, and what the meter shows, W. */
export interface RoadLoadPower {
  aeroW: number;
  rollingW: number;
  bearingW: number;
  gradientW: number;
  kineticW: number;
  wheelW: number;
  meterW: number;
}

/** ½·ρ·CdA·v_a·|v_a|·v, W. */
export function aeroPowerW(
  airDensityKgM3: number,
  cdaM2: number,
  airspeedMps: number,
  groundSpeedMps: number,
): number {
  return 0.5 * airDensityKgM3 * cdaM2 * airspeedMps * Math.abs(airspeedMps) * groundSpeedMps;
}

/** Wheel bearings, both wheels: v·(91 + 8.7·v)·10⁻³ W (Martin et al. 1998, from Dahn et al. 1991). */
export function bearingPowerW(groundSpeedMps: number): number {
  return groundSpeedMps * (0.091 + 0.0087 * groundSpeedMps);
}

/** Crr·m·g·cos(atan G)·v, W. */
export function rollingPowerW(
  crr: number,
  massKg: number,
  gradient: number,
  groundSpeedMps: number,
  gravityMps2 = standardGravityMps2,
): number {
  return (crr * massKg * gravityMps2 * groundSpeedMps) / Math.hypot(1, gradient);
}

/** m·g·sin(atan G)·v, W. */
export function gradientPowerW(
  massKg: number,
  gradient: number,
  groundSpeedMps: number,
  gravityMps2 = standardGravityMps2,
): number {
  return (massKg * gravityMps2 * gradient * groundSpeedMps) / Math.hypot(1, gradient);
}

/** m + I/r², kg: mass that a bike shows to acceleration, wheels turning. */
export function effectiveMassKg(
  massKg: number,
  wheelInertiaKgM2: number,
  wheelRadiusM: number,
): number {
  return massKg + wheelInertiaKgM2 / (wheelRadiusM * wheelRadiusM);
}

/** Change of kinetic energy over a time, ½·(m + I/r²)·(v₂² − v₁²)/Δt, W. */
export function kineticPowerW(
  effectiveMass: number,
  startSpeedMps: number,
  endSpeedMps: number,
  durationS: number,
): number {
  return (0.5 * effectiveMass * (endSpeedMps ** 2 - startSpeedMps ** 2)) / durationS;
}

/** All terms of the road load at one moment. */
export function roadLoadPower(load: RoadLoad): RoadLoadPower {
  const v = load.groundSpeedMps;
  const g = load.gravityMps2 ?? standardGravityMps2;
  const area = load.cdaM2 + (load.spokeDragAreaM2 ?? 0);
  const aeroW = aeroPowerW(load.airDensityKgM3, area, load.airspeedMps, v);
  const rollingW = rollingPowerW(load.crr, load.massKg, load.gradient, v, g);
  const bearingW = (load.bearingLosses ?? true) ? bearingPowerW(v) : 0;
  const gradientW = gradientPowerW(load.massKg, load.gradient, v, g);
  const kineticW =
    effectiveMassKg(load.massKg, load.wheelInertiaKgM2, load.wheelRadiusM) *
    load.accelerationMps2 *
    v;
  const wheelW = aeroW + rollingW + bearingW + gradientW + kineticW;
  return {
    aeroW,
    rollingW,
    bearingW,
    gradientW,
    kineticW,
    wheelW,
    meterW: wheelW / (load.drivetrainEfficiency ?? 1),
  };
}

/**
 * Slope of the road that balances one sample, small-angle: P/(m·g·v) − Crr − a/g − ρ·CdA·v_a²/(2·m·g)
 * (Chung 2012, "Estimating CdA with a power meter"). Its sum over a closed lap is zero at the true
 * constants.
 */
export function balancingSlope(input: {
  powerW: number;
  groundSpeedMps: number;
  airspeedMps: number;
  accelerationMps2: number;
  massKg: number;
  crr: number;
  cdaM2: number;
  airDensityKgM3: number;
  gravityMps2?: number;
}): number {
  const g = input.gravityMps2 ?? standardGravityMps2;
  const weight = input.massKg * g;
  const drag =
    0.5 * input.airDensityKgM3 * input.cdaM2 * input.airspeedMps * Math.abs(input.airspeedMps);
  return (
    input.powerW / (weight * input.groundSpeedMps) -
    input.crr -
    input.accelerationMps2 / g -
    drag / weight
  );
}
