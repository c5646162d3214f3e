import type { Descent, DescentLeg } from '../../evidence/index.ts';
import { standardGravityMps2 } from '../../units/index.ts';
import { positions, type DescentBand } from './band.ts';
import { brakePower, roadEnergy } from './braking.ts';
import type { PreparedDescent } from './heat.ts';
import { storedJ } from './model.ts';
import type { PlannedRide, Way } from './plan.ts';
import type { DescentEnergy } from './result.ts';
import { guessOf, unknowns } from './spread.ts';

/** Height between top and foot, m. */
export const fallOf = (legs: readonly DescentLeg[]): number =>
  legs.reduce((sum, one) => sum + fallOfLeg(one), 0);

/** Height lost where the road falls, m: what it rises between is not taken off. */
export const lostOf = (legs: readonly DescentLeg[]): number =>
  legs.reduce((sum, one) => sum + Math.max(0, fallOfLeg(one)), 0);

const fallOfLeg = ({ lengthM, gradient }: DescentLeg): number =>
  (lengthM * gradient) / Math.hypot(1, gradient);

/** Where the energy went, road and heat each closed by themselves. */
export function energyOf(
  sheet: Descent,
  { legs, ride }: Way,
  descent: PreparedDescent,
  planned: PlannedRide,
  band: DescentBand,
): DescentEnergy {
  const plain = guessOf(
    unknowns.map(() => 0),
    { weighed: false, heightDeviation: 0 },
  );
  const powerW = brakePower(planned.steps, plain);
  // Of a road, from its shape; of a ride, from its samples, which are all there is.
  const heightJ = ride
    ? planned.steps.heightW.reduce((sum, one, i) => sum + one * planned.steps.dtS[i], 0)
    : sheet.massKg * standardGravityMps2 * fallOf(legs);
  const road = roadEnergy(planned.steps, powerW, { heightJ, motionJ: planned.motionJ });
  const given = road.heightJ + road.motionJ + road.pedalledJ;
  const ends = positions.map((position) => band[position].centre.end);
  const sum = (at: number): number => ends.reduce((total, end) => total + end.heatJ[at], 0);
  const stored = ends.reduce((total, end) => total + storedJ(end, descent.airC), 0);
  const heated = positions.reduce((total, one) => total + band[one].centre.heatedJ, 0);
  const became = stored + sum(4) + sum(5) + sum(6);
  const percent = (part: number, whole: number): number => (whole > 0 ? (100 * part) / whole : 0);
  return {
    ...road,
    storedJ: stored,
    convectedJ: sum(4),
    radiatedJ: sum(5),
    toHubsJ: sum(6),
    roadClosurePercent: percent(given - road.airJ - road.rollingJ - road.brakedJ, given),
    heatClosurePercent: percent(heated - became, heated),
  };
}
