import { wander } from '../random.ts';
import type { RandomStream } from '../random.ts';
import { standardGravityMps2 } from '../../core/units/index.ts';
import type { NoiseConditions } from './conditions.ts';
import type { Descent } from './descent.ts';
import { spokeHz, tensionUnder } from './wheel.ts';
import type { SimulatedSpoke } from './wheel.ts';

/** One tone on the time steps of the ride, before it is made into sound. */
export interface PlannedTone {
  name: string;
  /** Number of the spoke that sounds; null: none does. */
  spoke: number | null;
  hz: Float64Array;
  /** Bursts as [first, past last] indices. */
  bursts: [number, number][];
  toneToNoiseDb: number;
  harmonicsDb: number[];
  /** Regular shaking of the amplitude, as chatter has it: rate and depth 0 to 1. */
  shaking: { hz: number; depth: number } | null;
}

/** Cuts spans into bursts that fill a share of them, none shorter than half a second. */
function burstsIn(
  spans: [number, number][],
  share: number,
  random: RandomStream,
  stepS: number,
): [number, number][] {
  const bursts: [number, number][] = [];
  for (const [first, past] of spans) {
    let at = first;
    while (past - at > 0.5 / stepS) {
      const onS = 0.8 + 3 * random.uniform();
      const end = Math.min(past, at + Math.round(onS / stepS));
      bursts.push([at, end]);
      at =
        end +
        Math.round((onS * (1 / Math.max(0.05, share) - 1) * (0.5 + random.uniform())) / stepS);
    }
  }
  return bursts;
}

/** Where a spoke's ln f goes with tension, as a table: solving its equation for every step would be slow. */
function pitchTable(
  conditions: NoiseConditions,
  spoke: SimulatedSpoke,
): (tensionN: number) => number {
  const { wheel, tone } = conditions;
  const plane = Math.max(
    0,
    spoke.wires.findIndex((one) => one.plane === tone.plane),
  );
  const most = spoke.tensionN * 2;
  const steps = 256;
  const table = Float64Array.from({ length: steps + 2 }, (_, i) =>
    spokeHz(wheel, spoke, (most * i) / steps, plane, tone.mode),
  );
  return (tensionN) => {
    const at = Math.min(steps, Math.max(0, (tensionN / most) * steps));
    const i = Math.floor(at);
    return table[i] + (at - i) * (table[i + 1] - table[i]);
  };
}

/** Tension of a spoke in a wheel that turns under load: rigid rim, weight and braking force at the road. */
function tensionInTurn(
  conditions: NoiseConditions,
  ride: Descent,
  spoke: SimulatedSpoke,
  i: number,
): number {
  const { wheel, descent, tone } = conditions;
  const torque = ride.brakeTorqueNm[i];
  const braking = torque / wheel.tyreRadiusM;
  // Half the weight, and what braking moves to this wheel (height of the centre of mass about the wheelbase).
  const weight = 0.5 * descent.massKg * standardGravityMps2 + braking / descent.brakeShare;
  // The wheel turns the nipple past the road, which is where the angle is zero.
  const angle = spoke.angleRad + 2 * Math.PI * ride.turns[i];
  // The road pushes the rim up at the bottom and backwards: the rim moves up, spokes at the bottom let go.
  const push = -weight * Math.cos(angle) + braking * Math.sin(angle);
  return tensionUnder(spoke, torque) + tone.heardTurn * spoke.tensionPerPushN * push;
}

/** Spokes of the group that can sound: those with tension left at the torque aimed at. */
export function spokesOfCause(conditions: NoiseConditions): SimulatedSpoke[] {
  const { cause } = conditions.tone;
  return conditions.wheel.spokes.filter(({ discSide, underBraking }) =>
    cause === 'spokes-other'
      ? !discSide
      : discSide && underBraking === (cause === 'spokes-losing-disc-side' ? 'loses' : 'gains'),
  );
}

/** A pitch that wanders slowly about its start, in ln f. */
function wandering(
  n: number,
  hz: number,
  sd: number,
  timeS: number,
  stepS: number,
  random: RandomStream,
) {
  const walk = wander(random, sd, timeS);
  return Float64Array.from({ length: n }, () => hz * Math.exp(walk.step(stepS)));
}

/** The tones of the cause, and the stray one. Their levels are set when the noise is known. */
export function planTones(
  conditions: NoiseConditions,
  ride: Descent,
  random: RandomStream,
): PlannedTone[] {
  const { tone } = conditions;
  const { stepS, speedMps } = ride;
  const n = speedMps.length;
  // What happens before and after the sound is not heard.
  const first = Math.round(conditions.ride.leadS / stepS);
  const past = Math.min(n, first + Math.round(conditions.durationS / stepS));
  const inside = (spans: [number, number][]): [number, number][] =>
    spans
      .map(([a, b]): [number, number] => [Math.max(first, a), Math.min(past, b)])
      .filter(([a, b]) => b > a);
  const chosen = inside(ride.brakings).filter(() => random.uniform() < tone.brakingsSounding);
  // One braking at least, the longest, so that a cause is heard at all.
  const longest = inside(ride.brakings)
    .sort((a, b) => b[1] - b[0] - (a[1] - a[0]))
    .slice(0, 1);
  const brakings = burstsIn(chosen.length > 0 ? chosen : longest, tone.burstShare, random, stepS);
  const common = {
    spoke: null,
    bursts: brakings,
    toneToNoiseDb: tone.toneToNoiseDb,
    harmonicsDb: tone.harmonicsDb,
    shaking: null,
  };
  const planned: PlannedTone[] = [];
  const { cause } = tone;
  if (cause.startsWith('spokes-')) {
    const group = [...spokesOfCause(conditions)];
    for (let k = 0; k < tone.spokesSounding && group.length > 0; k++) {
      const [spoke] = group.splice(Math.floor(random.uniform() * group.length), 1);
      const pitch = pitchTable(conditions, spoke);
      const small = wander(random, tone.jitter, 0.5);
      planned.push({
        ...common,
        name: `spoke ${spoke.spoke}`,
        spoke: spoke.spoke,
        hz: Float64Array.from(
          { length: n },
          (_, i) => pitch(tensionInTurn(conditions, ride, spoke, i)) * Math.exp(small.step(stepS)),
        ),
      });
    }
  } else if (cause === 'brake-unit-squeal' || cause === 'brake-unit-chatter') {
    const chatter = cause === 'brake-unit-chatter';
    const hz = chatter ? tone.chatterHz : tone.squealHz;
    planned.push({
      ...common,
      name: chatter ? 'chatter' : 'squeal',
      hz: wandering(n, hz, 2 * tone.jitter, 2, stepS, random),
      shaking: chatter ? { hz: 11 + 8 * random.uniform(), depth: 0.5 } : null,
    });
  } else if (cause === 'turning-with-the-wheel') {
    const { part, cyclesPerTurn } = tone.turning;
    const hz = Float64Array.from(
      speedMps,
      (v) => (cyclesPerTurn * v) / (2 * Math.PI * conditions.wheel.tyreRadiusM),
    );
    planned.push({
      ...common,
      name: part,
      hz,
      bursts:
        part === 'rotor slots'
          ? brakings
          : burstsIn([[first, past]], tone.burstShare, random, stepS),
    });
  } else if (cause === 'none-of-these') {
    planned.push({
      ...common,
      name: 'something else',
      hz: wandering(n, tone.elseHz, tone.elseWander, 20, stepS, random),
      bursts: tone.elseWhileBraking
        ? brakings
        : burstsIn([[first, past]], tone.burstShare / 2, random, stepS),
    });
  }
  if (tone.stray) {
    const { hz, wander: sd, againstDb } = tone.stray;
    planned.push({
      ...common,
      name: 'stray',
      hz: wandering(n, hz, sd, 20, stepS, random),
      bursts: burstsIn([[first, past]], 0.3, random, stepS),
      toneToNoiseDb: tone.toneToNoiseDb + againstDb,
      harmonicsDb: [],
    });
  }
  // A spoke that has gone slack is silent.
  for (const one of planned) {
    one.bursts = one.bursts.filter(([a, b]) => {
      const middle = one.hz[Math.floor((a + b) / 2)];
      return middle > 60 && middle < 0.45 * conditions.sampleRateHz;
    });
  }
  return planned;
}
