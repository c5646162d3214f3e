/** Cars that pass and people who call: sounds of a few seconds at moments of their own. */
import { randomStream } from '../random.ts';
import type { RandomStream } from '../random.ts';
import { decibels } from './background.ts';
import type { Layer } from './background.ts';
import type { NoiseConditions } from './conditions.ts';
import { chain, colouredNoise, onePole, onePoleHigh } from './filters.ts';

export interface Passer {
  kind: 'car' | 'voice';
  startS: number;
  endS: number;
  /** Of a voice: fundamental at start, middle and end, Hz. */
  hz: [number, number, number] | null;
  levelDbfs: number;
}

/** When they come: at random, so many a minute. */
export function planPassers(conditions: NoiseConditions, seed: number): Passer[] {
  const { background, durationS } = conditions;
  const random = randomStream(seed, 'passers');
  const times = (perMinute: number): number[] => {
    const found: number[] = [];
    let at = 0;
    while (perMinute > 0) {
      at -= (Math.log(1 - random.uniform()) * 60) / perMinute;
      if (at >= durationS) break;
      found.push(at);
    }
    return found;
  };
  const cars = times(background.carsPerMinute).map((middle): Passer => {
    const half = 2 + 3 * random.uniform();
    const levelDbfs = background.windDbfs + 6 * random.uniform() - 2;
    return { kind: 'car', startS: middle - half, endS: middle + half, hz: null, levelDbfs };
  });
  const voices = times(background.voicesPerMinute).map((startS): Passer => {
    const base = 95 + 150 * random.uniform();
    const bend = (): number => base * (0.8 + 0.5 * random.uniform());
    return {
      kind: 'voice',
      startS,
      endS: startS + 0.5 + 1.5 * random.uniform(),
      hz: [bend(), bend(), bend()],
      levelDbfs: background.windDbfs - 4 * random.uniform(),
    };
  });
  return [...cars, ...voices].sort((a, b) => a.startS - b.startS);
}

/** Their sound. Each is built when its time comes, so that an hour of them costs no memory. */
export function passerLayer(passers: Passer[], sampleRateHz: number, seed: number): Layer {
  const running = new Map<Passer, (sample: number) => number>();
  return (out, from) => {
    const startS = from / sampleRateHz;
    const endS = (from + out.length) / sampleRateHz;
    for (const [i, passer] of passers.entries()) {
      if (passer.endS <= startS || passer.startS >= endS) {
        if (passer.endS <= startS) running.delete(passer);
        continue;
      }
      let voice = running.get(passer);
      if (!voice) {
        const random = randomStream(seed, `passer ${i}`);
        voice =
          passer.kind === 'car'
            ? carSound(passer, sampleRateHz, random)
            : voiceSound(passer, sampleRateHz, random);
        running.set(passer, voice);
      }
      const first = Math.max(0, Math.ceil(passer.startS * sampleRateHz) - from);
      const past = Math.min(out.length, Math.floor(passer.endS * sampleRateHz) - from);
      for (let k = first; k < past; k++) out[k] += voice(from + k);
    }
  };
}

/** Rush of tyres and air that swells and fades. */
function carSound(passer: Passer, sampleRateHz: number, random: RandomStream) {
  const noise = colouredNoise(
    random,
    chain(onePoleHigh(80, sampleRateHz), onePole(900, sampleRateHz), onePole(2500, sampleRateHz)),
    sampleRateHz,
  );
  const level = decibels(passer.levelDbfs);
  const middle = (passer.startS + passer.endS) / 2;
  const width = (passer.endS - passer.startS) / 6;
  return (sample: number): number => {
    const x = (sample / sampleRateHz - middle) / width;
    return level * Math.exp(-0.5 * x * x) * noise.next();
  };
}

/**
 * A call: harmonics of a gliding fundamental under two formants, in syllables. Harmonics below 3 kHz; formant
 * places of open vowels (about 600 and 1200 Hz, common textbook values, from memory).
 */
function voiceSound(passer: Passer, sampleRateHz: number, random: RandomStream) {
  const [f0, f1, f2] = passer.hz ?? [120, 120, 120];
  const first = 450 + 350 * random.uniform();
  const second = 1000 + 600 * random.uniform();
  const syllables = 3 + 2 * random.uniform();
  const top = Math.min(3000, 0.4 * sampleRateHz);
  const hump = (hz: number, at: number, width: number): number =>
    1 / (1 + ((hz - at) / width) ** 2);
  const count = Math.max(1, Math.floor(top / Math.max(f0, f1, f2)));
  const level = decibels(passer.levelDbfs);
  const amplitude = new Float64Array(count);
  let phase = 0;
  let asked = 0;
  return (sample: number): number => {
    const t = sample / sampleRateHz - passer.startS;
    const u = t / (passer.endS - passer.startS);
    const hz = u < 0.5 ? f0 + (f1 - f0) * 2 * u : f1 + (f2 - f1) * (2 * u - 1);
    phase += (2 * Math.PI * hz) / sampleRateHz;
    if (asked++ % 256 === 0) {
      let power = 0;
      for (let h = 1; h <= count; h++) {
        const a = (hump(h * hz, first, 120) + 0.5 * hump(h * hz, second, 150)) / Math.sqrt(h);
        amplitude[h - 1] = a;
        power += (a * a) / 2;
      }
      for (let h = 0; h < count; h++) amplitude[h] *= level / Math.sqrt(power);
    }
    const envelope = Math.sin(Math.PI * u) * (0.55 + 0.45 * Math.sin(2 * Math.PI * syllables * t));
    let sum = 0;
    for (let h = 1; h <= count; h++) sum += amplitude[h - 1] * Math.sin(h * phase);
    return envelope * sum;
  };
}
