import { randomStream } from '../random.ts';
import { curveOf, densityAt, noiseLayers, planNoise, tickLayer } from './background.ts';
import type { Layer, NoisePlan } from './background.ts';
import { noiseConditionsOf } from './conditions.ts';
import type { NoiseCause, NoiseConditions, NoiseConditionsInput } from './conditions.ts';
import { rideDown } from './descent.ts';
import type { Descent } from './descent.ts';
import { bandPower } from './filters.ts';
import { passerLayer, planPassers } from './passers.ts';
import type { Passer } from './passers.ts';
import { recorderOf } from './recorder.ts';
import { planTones } from './tones.ts';
import type { PlannedTone } from './tones.ts';

/** One tone as it truly was, in the sound's own clock. */
export interface TrueTone {
  name: string;
  spoke: number | null;
  /** Asked for: fundamental over the noise in its critical band, mean over a burst. */
  toneToNoiseDb: number;
  bursts: {
    startS: number;
    endS: number;
    /** Mean over the burst. */
    hz: number;
    /** Of the fundamental before the recorder; full scale is 1. */
    rms: number;
    /** Of the noise in its critical band. */
    noiseRms: number;
  }[];
  /** Ten times a second, while it sounds. */
  timeS: number[];
  hz: number[];
}

export interface NoiseTruth {
  cause: NoiseCause;
  tones: TrueTone[];
  passers: Passer[];
  /** Ticks of the freehub while it rolls, for each metre. */
  freehubTicksPerM: number;
  /** Ten times a second over the sound. */
  brakeTorque: { timeS: number[]; torqueNm: number[]; speedMps: number[] };
  brakings: { startS: number; endS: number; meanTorqueNm: number }[];
  /** Mean brake torque of the moments of braking in which the cause sounds, else of all; null without any. */
  meanTorqueNm: number | null;
  /** Where the sound begins in the ride recording, s after its start. */
  soundStartS: number;
}

/** What is heard of the mix: all of it, or one part for checks. */
export type HeardPart = 'all' | 'tones' | 'background';

export interface NoiseRide {
  sampleRateHz: number;
  lengthSamples: number;
  /** When the sound recorder says it began. */
  startEpochS: number;
  /**
   * The sound in blocks, mono, full scale 1. Every call begins anew and gives the same. `part` other than `all` leaves the
   * recorder out: no gain control, no rounding.
   */
  samples(part?: HeardPart, blockLength?: number): Generator<Float32Array<ArrayBuffer>>;
  /** The ride recording in its own clock. */
  ride: { startEpochS: number; timeS: number[]; speedMps: number[] };
  conditions: NoiseConditions;
  truth: NoiseTruth;
}

/** Levels and envelopes of a planned tone. */
interface ReadyTone {
  planned: PlannedTone;
  /** Peak amplitude of the fundamental on the steps of the ride. */
  amplitude: Float64Array;
  truth: TrueTone;
}

const attackS = 0.04;

/**
 * A recorded descent with a tone of known cause. The same conditions and seed give the same sound.
 * Throws RangeError on conditions that cannot be recorded.
 */
export function simulateNoiseRide(input: NoiseConditionsInput = {}, seed = 1): NoiseRide {
  const conditions = noiseConditionsOf(input);
  const { sampleRateHz, durationS } = conditions;
  const lengthSamples = Math.round(durationS * sampleRateHz);
  const descent = rideDown(conditions, randomStream(seed, 'descent'));
  const plan = planNoise(conditions, descent, seed);
  const passers = planPassers(conditions, seed);
  const tones = planTones(conditions, descent, randomStream(seed, 'tones')).map((planned, k) =>
    setLevel(planned, plan, descent, sampleRateHz, randomStream(seed, `envelope ${k}`)),
  );

  function* samples(part: HeardPart = 'all', blockLength = 16_384) {
    const layers: Layer[] = [];
    if (part !== 'tones') {
      layers.push(
        ...noiseLayers(plan, descent, sampleRateHz, seed),
        tickLayer(conditions, descent, seed),
        passerLayer(passers, sampleRateHz, seed),
      );
    }
    if (part !== 'background') {
      layers.push(
        ...tones.map((tone, k) =>
          toneLayer(tone, descent, sampleRateHz, randomStream(seed, `phase ${k}`).uniform()),
        ),
      );
    }
    const record = recorderOf(conditions.recorder, sampleRateHz);
    for (let from = 0; from < lengthSamples; from += blockLength) {
      const block = new Float64Array(Math.min(blockLength, lengthSamples - from));
      for (const layer of layers) layer(block, from);
      yield part === 'all' ? record(block) : Float32Array.from(block);
    }
  }

  return {
    sampleRateHz,
    lengthSamples,
    startEpochS: conditions.ride.startEpochS + conditions.ride.leadS + conditions.ride.clockOffsetS,
    samples,
    ride: recordRide(conditions, descent, seed),
    conditions,
    truth: truthOf(conditions, descent, tones, passers),
  };
}

/** Sets the power of each burst against the noise about it. */
function setLevel(
  planned: PlannedTone,
  plan: NoisePlan,
  ride: Descent,
  sampleRateHz: number,
  random: { uniform(): number },
): ReadyTone {
  const { stepS, fromS } = ride;
  const amplitude = new Float64Array(planned.hz.length);
  const bursts: TrueTone['bursts'] = [];
  const timeS: number[] = [];
  const hz: number[] = [];
  for (const [first, past] of planned.bursts) {
    let noise = 0;
    let asked = 0;
    let meanHz = 0;
    for (let i = first; i < past; i += 5) {
      noise += bandPower(densityAt(plan, i, sampleRateHz), planned.hz[i]);
      meanHz += planned.hz[i];
      asked++;
    }
    noise /= asked;
    meanHz /= asked;
    // A howl swells and sinks a little.
    const swell = 0.25 + 0.3 * random.uniform();
    const turn = 2 * Math.PI * random.uniform();
    let shape = 0;
    for (let i = first; i < past; i++) {
      const t = (i - first) * stepS;
      const left = (past - 1 - i) * stepS;
      let envelope =
        Math.min(1, t / attackS, left / attackS) *
        (1 + swell * Math.sin(turn + (2 * Math.PI * t) / 1.7));
      if (planned.shaking) {
        const { hz: rate, depth } = planned.shaking;
        envelope *= 1 + depth * Math.sin(2 * Math.PI * rate * t);
      }
      amplitude[i] = envelope;
      shape += envelope * envelope;
      if ((i - first) % 10 === 0) {
        timeS.push(fromS + i * stepS);
        hz.push(planned.hz[i]);
      }
    }
    const rms = Math.sqrt(noise) * 10 ** (planned.toneToNoiseDb / 20);
    const scale = rms * Math.sqrt((2 * (past - first)) / shape);
    for (let i = first; i < past; i++) amplitude[i] *= scale;
    bursts.push({
      startS: fromS + first * stepS,
      endS: fromS + (past - 1) * stepS,
      hz: meanHz,
      rms,
      noiseRms: Math.sqrt(noise),
    });
  }
  const { name, spoke, toneToNoiseDb } = planned;
  return { planned, amplitude, truth: { name, spoke, toneToNoiseDb, bursts, timeS, hz } };
}

function toneLayer(
  { planned, amplitude, truth }: ReadyTone,
  ride: Descent,
  sampleRateHz: number,
  startPhase: number,
): Layer {
  const loud = curveOf(amplitude, ride, sampleRateHz);
  const pitch = curveOf(planned.hz, ride, sampleRateHz);
  const harmonics = [0, ...planned.harmonicsDb].map((db, k) => ({
    times: k + 1,
    gain: 10 ** (db / 20),
    phase: 2 * Math.PI * ((startPhase * (k + 1) * 7.13) % 1),
  }));
  let phase = 2 * Math.PI * startPhase;
  return (out, from) => {
    const startS = from / sampleRateHz - 0.02;
    const endS = (from + out.length) / sampleRateHz + 0.02;
    if (!truth.bursts.some((burst) => burst.startS < endS && burst.endS > startS)) return;
    for (let k = 0; k < out.length; k++) {
      const a = loud.at(from + k);
      // Silence turns no phase, so that it does not matter which blocks were passed over above.
      if (a === 0) continue;
      const hz = pitch.at(from + k);
      phase += (2 * Math.PI * hz) / sampleRateHz;
      if (phase > 1e6) phase %= 2 * Math.PI;
      for (const harmonic of harmonics) {
        if (harmonic.times * hz > 0.45 * sampleRateHz) break;
        out[k] += a * harmonic.gain * Math.sin(harmonic.times * phase + harmonic.phase);
      }
    }
  };
}

function recordRide(
  { ride, durationS }: NoiseConditions,
  descent: Descent,
  seed: number,
): NoiseRide['ride'] {
  const random = randomStream(seed, 'speed sensor');
  const last = Math.floor((ride.leadS + durationS + ride.tailS) / ride.everyS);
  const timeS = Array.from({ length: last + 1 }, (_, k) => k * ride.everyS);
  const speedMps = timeS.map((t) => {
    const v =
      descent.speedMps[Math.min(descent.speedMps.length - 1, Math.round(t / descent.stepS))];
    const read = v * (1 + ride.speedScaleError) + ride.speedNoiseMps * random.normal();
    return Math.max(0, Number(read.toFixed(3)));
  });
  return { startEpochS: ride.startEpochS, timeS, speedMps };
}

function truthOf(
  conditions: NoiseConditions,
  ride: Descent,
  tones: ReadyTone[],
  passers: Passer[],
): NoiseTruth {
  const { stepS, fromS, brakeTorqueNm, speedMps } = ride;
  const count = Math.floor(conditions.durationS * 10) + 1;
  const timeS = Array.from({ length: count }, (_, k) => k / 10);
  const indexOf = (t: number): number =>
    Math.min(brakeTorqueNm.length - 1, Math.round((t - fromS) / stepS));
  const meanOver = (first: number, past: number): number => {
    let sum = 0;
    for (let i = first; i < past; i++) sum += brakeTorqueNm[i];
    return sum / Math.max(1, past - first);
  };
  const brakings = ride.brakings
    .map(([first, past]) => ({
      startS: fromS + first * stepS,
      endS: fromS + past * stepS,
      meanTorqueNm: meanOver(first, past),
    }))
    .filter(({ startS, endS }) => endS > 0 && startS < conditions.durationS);
  const braked = (spans: [number, number][]): number | null => {
    let sum = 0;
    let steps = 0;
    for (const [first, past] of spans) {
      for (let i = first; i < past; i++) {
        if (brakeTorqueNm[i] < 1) continue;
        sum += brakeTorqueNm[i];
        steps++;
      }
    }
    return steps > 0 ? sum / steps : null;
  };
  const allBrakings = brakings.map(({ startS, endS }): [number, number] => [
    indexOf(startS),
    indexOf(endS),
  ]);
  return {
    cause: conditions.tone.cause,
    tones: tones.map(({ truth }) => truth),
    passers,
    freehubTicksPerM:
      conditions.background.freehubTicksPerTurn / (2 * Math.PI * conditions.wheel.tyreRadiusM),
    brakeTorque: {
      timeS,
      torqueNm: timeS.map((t) => brakeTorqueNm[indexOf(t)]),
      speedMps: timeS.map((t) => speedMps[indexOf(t)]),
    },
    brakings,
    meanTorqueNm: braked(tones[0]?.planned.bursts ?? []) ?? braked(allBrakings),
    soundStartS: conditions.ride.leadS,
  };
}
