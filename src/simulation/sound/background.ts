/** Everything on a descent that is not the tone: wind, tyre, ticks, cars, voices. */
import { randomStream, wander } from '../random.ts';
import type { NoiseConditions } from './conditions.ts';
import type { Descent } from './descent.ts';
import { chain, colouredNoise, onePole, onePoleHigh, pink } from './filters.ts';

/** Adds its samples to a block that begins at sample `from` of the sound. */
export type Layer = (out: Float64Array, from: number) => void;

/** A value for each step of the ride, asked for at a sample of the sound. */
export interface Curve {
  at(sample: number): number;
}

export const decibels = (db: number): number => 10 ** (db / 20);

/** Straight line between the steps of the ride. */
export function curveOf(values: Float64Array, ride: Descent, sampleRateHz: number): Curve {
  const perSample = 1 / (sampleRateHz * ride.stepS);
  const start = -ride.fromS / ride.stepS;
  return {
    at(sample) {
      const at = Math.min(values.length - 1.001, start + sample * perSample);
      const i = Math.floor(at);
      return values[i] + (at - i) * (values[i + 1] - values[i]);
    },
  };
}

/** Steady noises: their gains along the ride and their spectra at unit gain. */
export interface NoisePlan {
  parts: {
    gain: Float64Array;
    density: (hz: number) => number;
    stream: string;
    buildNoise: () => { next(): number };
  }[];
  floor: number;
}

/** Wind with rumble, and tyre, as gains along the ride. The gains are part of the truth: levels follow from them. */
export function planNoise(conditions: NoiseConditions, ride: Descent, seed: number): NoisePlan {
  const { background, sampleRateHz } = conditions;
  const random = randomStream(seed, 'gusts');
  const gust = wander(random, background.gustMps, 2);
  const buffet = wander(random, 0.25, 0.08);
  const shake = wander(random, 0.4, 0.15);
  const n = ride.speedMps.length;
  const wind = new Float64Array(n);
  const rumble = new Float64Array(n);
  const tyre = new Float64Array(n);
  const windLevel = decibels(background.windDbfs);
  const tyreLevel = decibels(background.tyreDbfs);
  for (let i = 0; i < n; i++) {
    const air = Math.max(0, ride.speedMps[i] + background.headwindMps + gust.step(ride.stepS));
    const level = windLevel * (air / 12) ** 2.5;
    wind[i] = level * Math.exp(buffet.step(ride.stepS));
    rumble[i] = level * Math.exp(shake.step(ride.stepS));
    tyre[i] = tyreLevel * (ride.speedMps[i] / 12) ** 1.5;
  }
  const part = (
    stream: string,
    gain: Float64Array,
    filter: () => Parameters<typeof colouredNoise>[1],
  ): NoisePlan['parts'][number] => {
    const build = () => colouredNoise(randomStream(seed, stream), filter(), sampleRateHz);
    return { stream, gain, density: build().density, buildNoise: build };
  };
  const fs = sampleRateHz;
  return {
    parts: [
      part('wind', wind, () => chain(pink(fs), onePole(1500, fs))),
      part('rumble', rumble, () => chain(onePole(25, fs), onePole(25, fs))),
      part('tyre', tyre, () =>
        chain(onePoleHigh(300, fs), onePoleHigh(300, fs), onePole(2000, fs), onePole(2000, fs)),
      ),
    ],
    floor: decibels(background.floorDbfs),
  };
}

/** Spectral density of the steady noises at one step of the ride, one-sided, full scale² per Hz. */
export function densityAt(
  plan: NoisePlan,
  i: number,
  sampleRateHz: number,
): (hz: number) => number {
  const white = plan.floor ** 2 / (sampleRateHz / 2);
  const parts = plan.parts.map(({ gain, density }) => ({ power: gain[i] ** 2, density }));
  return (hz) => parts.reduce((sum, { power, density }) => sum + power * density(hz), white);
}

/** The steady noises as sound. */
export function noiseLayers(
  plan: NoisePlan,
  ride: Descent,
  sampleRateHz: number,
  seed: number,
): Layer[] {
  const layers = plan.parts.map(({ gain, buildNoise }): Layer => {
    const noise = buildNoise();
    const curve = curveOf(gain, ride, sampleRateHz);
    return (out, from) => {
      for (let k = 0; k < out.length; k++) out[k] += curve.at(from + k) * noise.next();
    };
  });
  const random = randomStream(seed, 'floor');
  const floor: Layer = (out) => {
    for (let k = 0; k < out.length; k++) {
      out[k] += plan.floor * Math.sqrt(12) * (random.uniform() - 0.5);
    }
  };
  return [...layers, floor];
}

/**
 * Ticks of the freehub while rolling, tied to the wheel, and of the chain while pedalling, tied to the crank:
 * short bursts of ringing metal, 2.5 to 4.5 kHz, each a few per cent early or late.
 */
export function tickLayer(conditions: NoiseConditions, ride: Descent, seed: number): Layer {
  const { background, sampleRateHz, wheel } = conditions;
  const random = randomStream(seed, 'ticks');
  const speed = curveOf(ride.speedMps, ride, sampleRateHz);
  const pedal = curveOf(Float64Array.from(ride.pedalling), ride, sampleRateHz);
  const peak = decibels(background.tickDbfs);
  const ringHz = Math.min(0.4 * sampleRateHz, 2500 + 2000 * random.uniform());
  // A two-pole resonator rung by impulses; Q about 12.
  const r = Math.exp((-Math.PI * ringHz) / (12 * sampleRateHz));
  const a1 = 2 * r * Math.cos((2 * Math.PI * ringHz) / sampleRateHz);
  const a2 = -r * r;
  // Struck as a second difference: a small piece of metal gives off next to nothing low, so that the teeth
  // of a freehub tick and hardly hum.
  const struck = 1 / (2 * Math.sin((Math.PI * ringHz) / sampleRateHz)) ** 2;
  const aroundM = 2 * Math.PI * wheel.tyreRadiusM;
  let hit1 = 0;
  let hit2 = 0;
  let y1 = 0;
  let y2 = 0;
  let phase = 0;
  let next = 1;
  return (out, from) => {
    for (let k = 0; k < out.length; k++) {
      const turning = pedal.at(from + k) > 0.5;
      // Chain: 50 links drawn a crank turn at 80 a minute.
      const perS = turning
        ? (50 * 80) / 60
        : (background.freehubTicksPerTurn * speed.at(from + k)) / aroundM;
      phase += perS / sampleRateHz;
      let hit = 0;
      if (phase >= next) {
        hit = peak * (turning ? 0.5 : 1) * (0.6 + 0.8 * random.uniform());
        next = Math.floor(phase) + 1 + 0.06 * random.normal();
      }
      const y = struck * (hit - 2 * hit1 + hit2) + a1 * y1 + a2 * y2;
      hit2 = hit1;
      hit1 = hit;
      y2 = y1;
      y1 = y;
      out[k] += y;
    }
  };
}
