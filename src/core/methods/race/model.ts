/**
 * The equation of motion, by distance. Road load after Martin, Milliken, Cobb, McFadden, Coggan (1998), J Appl
 * Biomech 14(3):276–291, as in `core/physics`:
 *
 *   (m + I/r²)·v·dv/ds = η·P/v − m·g·sin θ − Crr·m·g·cos θ − ½·ρ·CdA·va·|va| − (0.091 + 0.0087·v)
 *
 * One step takes the forces at the mean speed of its two ends (implicit midpoint rule), so that kinetic energy
 * changes by exactly the work of those forces and the time is step / mean speed: second order, and stable
 * however steep the road.
 */
import { standardGravityMps2 } from '../../units/index.ts';

/** CdA against the yaw of the air; linear between, held beyond the ends, alike to both sides. */
export interface YawTable {
  /** Increasing from 0 or above. */
  yawDeg: number[];
  cdaM2: number[];
  /**
   * What the coefficient multiplies: the airspeed along the bike, as `lapbench drag` does, or the whole
   * airspeed, as wind tunnels do.
   */
  reference: 'along' | 'whole';
}

/** What a setup is to the equation. */
export interface Bike {
  /** Rider, bicycle and all that is carried, kg. */
  massKg: number;
  /** Both wheels together, kg m², and their rolling radius, m. */
  wheelInertiaKgM2: number;
  wheelRadiusM: number;
  /** At zero yaw, or for all yaw where there is no table. */
  cdaM2: number;
  yaw: YawTable | null;
  /** Added to the road's own coefficient. */
  crrOffset: number;
}

/** The rider's side. */
export interface Rider {
  /** Share of the metered power that reaches the road. */
  drivetrainEfficiency: number;
  startSpeedMps: number;
  /**
   * Lowest speed that is ridden, m/s: below it the drive force is held (power falls with speed), and where
   * that force cannot climb, the rider walks at this speed.
   */
  walkBelowMps: number;
  bearingLosses: boolean;
}

/** The parts of a resisting force that depend on speed, at one place. */
export interface Place {
  halfDensity: number;
  /** Air moving against the bike along the road, and across it, m/s. */
  headMps: number;
  crossMps: number;
}

const degPerRad = 180 / Math.PI;

/** Drag along the road, N; negative where the air pushes. */
export function dragN(bike: Bike, v: number, { halfDensity, headMps, crossMps }: Place): number {
  const along = v + headMps;
  if (bike.yaw === null) return halfDensity * bike.cdaM2 * along * Math.abs(along);
  const yawDeg = Math.atan2(Math.abs(crossMps), Math.abs(along)) * degPerRad;
  const cda = cdaAt(bike.yaw, yawDeg);
  if (bike.yaw.reference === 'along') return halfDensity * cda * along * Math.abs(along);
  return halfDensity * cda * (along * along + crossMps * crossMps) * Math.sign(along);
}

/** CdA at a yaw, degrees, m². */
export function cdaAt({ yawDeg, cdaM2 }: YawTable, yaw: number): number {
  const last = yawDeg.length - 1;
  if (yaw <= yawDeg[0]) return cdaM2[0];
  if (yaw >= yawDeg[last]) return cdaM2[last];
  let j = 0;
  while (yawDeg[j + 1] < yaw) j += 1;
  const t = (yaw - yawDeg[j]) / (yawDeg[j + 1] - yawDeg[j]);
  return cdaM2[j] + t * (cdaM2[j + 1] - cdaM2[j]);
}

/** The steady speed on a road that never changes, m/s: the root of the power balance, by halving. */
export function steadySpeedMps(input: {
  powerW: number;
  bike: Bike;
  rider: Pick<Rider, 'drivetrainEfficiency' | 'bearingLosses'>;
  crr: number;
  gradient: number;
  place: Place;
}): number {
  const { powerW, bike, rider, crr, gradient, place } = input;
  const cosine = 1 / Math.hypot(1, gradient);
  const weight = bike.massKg * standardGravityMps2;
  const excess = (v: number): number => {
    const bearing = rider.bearingLosses ? 0.091 + 0.0087 * v : 0;
    const steady = weight * cosine * (gradient + crr + bike.crrOffset) + bearing;
    return rider.drivetrainEfficiency * powerW - v * (steady + dragN(bike, v, place));
  };
  let [low, high] = [1e-6, 150];
  for (let turn = 0; turn < 200 && high - low > 1e-13 * high; turn++) {
    const middle = 0.5 * (low + high);
    if (excess(middle) > 0) low = middle;
    else high = middle;
  }
  return 0.5 * (low + high);
}
