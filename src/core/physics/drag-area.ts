/** Between watts, forces and drag area: what a difference of CdA is worth, and back. */

interface Flow {
  airDensityKgM3: number;
  groundSpeedMps: number;
  /** Default: ground speed (still air). */
  airspeedMps?: number;
}

function wattsPerSquareMetre({ airDensityKgM3, groundSpeedMps, airspeedMps }: Flow): number {
  const air = airspeedMps ?? groundSpeedMps;
  const value = 0.5 * airDensityKgM3 * air * Math.abs(air) * groundSpeedMps;
  if (!(airDensityKgM3 > 0) || value === 0 || !Number.isFinite(value)) {
    throw new RangeError('drag area needs air that moves: density and both speeds above zero');
  }
  return value;
}

/** Drag area that costs an extra power at a steady speed, m²: ΔCdA = ΔP / (½·ρ·v_a²·v). */
export function cdaFromExtraPower(input: Flow & { extraPowerW: number }): number {
  return input.extraPowerW / wattsPerSquareMetre(input);
}

/** Power at the wheel that an extra drag area costs at a steady speed, W. */
export function extraPowerFromCda(input: Flow & { deltaCdaM2: number }): number {
  return input.deltaCdaM2 * wattsPerSquareMetre(input);
}

/** Drag area of a force in a stream, m²: 2·F/(ρ·v²). */
export function cdaFromForce(forceN: number, airDensityKgM3: number, airspeedMps: number): number {
  if (!(airDensityKgM3 > 0) || airspeedMps === 0) {
    throw new RangeError('drag area needs air that moves: density and airspeed above zero');
  }
  return (2 * forceN) / (airDensityKgM3 * airspeedMps * Math.abs(airspeedMps));
}
