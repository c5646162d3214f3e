/**
 * How often the right cause could be named first at best, on rides as `drawNoiseRide` draws them: by someone who
 * hears the cause's tone perfectly, knows every spoke's true pitch at every torque, the torque within its stated error, and
 * the spreads by which the rides were drawn. Bayes' rule on four observations: pitch, its slope with torque,
 * how far it wanders besides, and whether it sounds without the brake. What turns with the wheel is always told.
 */
import { randomStream } from '../src/simulation/index.ts';
import { drawWheel, drawnCauses, spokeHz, tensionUnder } from '../src/simulation/index.ts';
import type { SimulatedWheel } from '../src/simulation/index.ts';

type Random = ReturnType<typeof randomStream>;

interface Heard {
  lnHz: number;
  /** Of ln f with ln torque. */
  slope: number;
  lnWander: number;
  withoutBrake: boolean;
}

/** A pitch a cause may have; `slope` as above. */
interface Place {
  lnHz: number;
  slope: number;
  weight: number;
}

const torqueError = 0.3;
const slopeError = 0.01;
const wanders = {
  structure: { middle: Math.log(0.0025), spread: 0.5 },
  // Log-uniform from 0.002 to 0.06, as a normal of the same mean and spread.
  anything: { middle: Math.log(Math.sqrt(0.002 * 0.06)), spread: Math.log(30) / Math.sqrt(12) },
};

const normal = (x: number, middle: number, spread: number): number =>
  Math.exp(-0.5 * ((x - middle) / spread) ** 2) / (spread * Math.sqrt(2 * Math.PI));

function spokePlaces(wheel: SimulatedWheel, torqueNm: number): Record<string, Place[]> {
  const groups: Record<string, Place[]> = {
    'spokes-losing-disc-side': [],
    'spokes-gaining-disc-side': [],
    'spokes-other': [],
  };
  for (const spoke of wheel.spokes) {
    const group = !spoke.discSide
      ? 'spokes-other'
      : spoke.underBraking === 'loses'
        ? 'spokes-losing-disc-side'
        : 'spokes-gaining-disc-side';
    for (let plane = 0; plane < spoke.wires.length; plane++) {
      for (const mode of [1, 2]) {
        const at = (nm: number): number =>
          Math.log(spokeHz(wheel, spoke, tensionUnder(spoke, nm), plane, mode));
        const slope = (at(1.05 * torqueNm) - at(torqueNm / 1.05)) / (2 * Math.log(1.05));
        const weight = (mode === 1 ? 0.9 : 0.1) / spoke.wires.length;
        groups[group].push({ lnHz: at(torqueNm), slope, weight });
      }
    }
  }
  return groups;
}

/** Density of what was heard under a cause, with the spreads that `drawNoiseRide` states. */
function likelihood(cause: string, heard: Heard, spokes: Record<string, Place[]>): number {
  const { lnHz, slope, lnWander } = heard;
  const steady = normal(lnWander, wanders.structure.middle, wanders.structure.spread);
  if (cause === 'none-of-these') {
    const inside = lnHz > Math.log(200) && lnHz < Math.log(3000);
    const wander = normal(lnWander, wanders.anything.middle, wanders.anything.spread);
    const braking = heard.withoutBrake ? 0.4 : 0.6;
    return (inside ? 1 / Math.log(15) : 0) * normal(slope, 0, slopeError) * wander * braking;
  }
  if (heard.withoutBrake) return 0;
  if (cause === 'brake-unit-squeal' || cause === 'brake-unit-chatter') {
    const middle = Math.log(cause === 'brake-unit-squeal' ? 1000 : 500);
    return normal(lnHz, middle, 0.2) * normal(slope, 0, slopeError) * steady;
  }
  const places = spokes[cause] ?? [];
  const total = places.reduce((sum, { weight }) => sum + weight, 0);
  return (
    (steady *
      places.reduce((sum, one) => {
        const spread = Math.hypot(0.003, torqueError * one.slope);
        return (
          sum + one.weight * normal(lnHz, one.lnHz, spread) * normal(slope, one.slope, slopeError)
        );
      }, 0)) /
    total
  );
}

function hear(cause: string, spokes: Record<string, Place[]>, random: Random): Heard {
  const kind = cause === 'none-of-these' ? wanders.anything : wanders.structure;
  const heard: Heard = {
    lnHz: 0,
    slope: slopeError * random.normal(),
    lnWander: kind.middle + kind.spread * random.normal(),
    withoutBrake: cause === 'none-of-these' && random.uniform() < 0.4,
  };
  if (cause === 'brake-unit-squeal') heard.lnHz = Math.log(1000) + 0.2 * random.normal();
  else if (cause === 'brake-unit-chatter') heard.lnHz = Math.log(500) + 0.2 * random.normal();
  else if (cause === 'none-of-these') heard.lnHz = Math.log(200) + Math.log(15) * random.uniform();
  else {
    const places = spokes[cause];
    let place = places[0];
    do place = places[Math.floor(random.uniform() * places.length)];
    while (random.uniform() > place.weight);
    heard.slope += place.slope;
    heard.lnHz = place.lnHz + Math.hypot(0.003, torqueError * place.slope) * random.normal();
  }
  return heard;
}

/** Whether the right cause comes first, for so many rides. */
export function ceiling(rides: number, seed: number): { cause: string; right: boolean }[] {
  const random = randomStream(seed, 'ceiling');
  return Array.from({ length: rides }, (_, i) => {
    const wheel = drawWheel(randomStream(seed + i, 'what the wheel is like'), seed + i);
    const spokes = spokePlaces(wheel, 35 * Math.exp(0.45 * random.normal()));
    let left = random.uniform();
    const shares = Object.entries(drawnCauses);
    const [cause] = shares.find(([, share]) => (left -= share) < 0) ?? shares[0];
    if (cause === 'turning-with-the-wheel') return { cause, right: true };
    const heard = hear(cause, spokes, random);
    const odds = shares
      .filter(([id]) => id !== 'turning-with-the-wheel')
      .map(([id, share]) => ({ id, value: share * likelihood(id, heard, spokes) }));
    const first = odds.reduce((best, one) => (one.value > best.value ? one : best));
    return { cause, right: first.id === cause };
  });
}
