/** Small invented rides for the tests, made here and sharing nothing with the project's own generator of rides. */
import type { PluckSound, ToneTrack, Wheel } from '../../../../src/core/evidence/index.ts';
import {
  estimateBrakeNoise,
  type BrakeNoiseEvidence,
  type BrakeNoiseFinding,
  type CauseId,
} from '../../../../src/core/methods/brake-noise/index.ts';
import { referenceWheel } from '../../structure/wheels.ts';
import { gaussian } from '../../signal/sounds.ts';

/** Disc on the left, where 16 spokes cross three times; 16 radial ones on the right; 1000 N. */
export function crossedWheel(): Wheel {
  const wheel = referenceWheel({ cross: 3, meanTensionN: 1000 });
  const { left, right } = wheel.spokes;
  return { ...wheel, spokes: { left, right: { ...right, cross: 0 } }, discSide: 'left' };
}

/** A tone as the analysis of a sound gives it: ten frames a second with a noise of `scatter` in ln f. */
export function tone(
  fromS: number,
  toS: number,
  hzAt: (t: number) => number,
  { scatter = 0.0005, levelDb = -30, seed = 1 } = {},
): ToneTrack {
  const normal = gaussian(seed + Math.round(1000 * fromS));
  const n = Math.max(3, Math.round((toS - fromS) * 10));
  const timeS = Array.from({ length: n }, (_, i) => fromS + ((i + 0.5) * (toS - fromS)) / n);
  const frequencyHz = timeS.map((t) => hzAt(t) * Math.exp(scatter * normal()));
  const hz = frequencyHz.reduce((sum, value) => sum + value, 0) / n;
  return {
    startS: fromS,
    endS: toS,
    hz,
    standardUncertaintyHz: (hz * scatter) / Math.sqrt(n),
    driftHzPerS: (hzAt(toS) - hzAt(fromS)) / (toS - fromS),
    levelDb,
    toneToNoiseDb: 3,
    timeS,
    frequencyHz,
    frameLevelDb: timeS.map(() => levelDb),
    harmonicOf: null,
    harmonic: null,
  };
}

/** Brakings of a minute: when, and their torque over the mean. */
export const brakings = [
  { fromS: 4, toS: 8, torque: 0.7 },
  { fromS: 14, toS: 18, torque: 1.3 },
  { fromS: 24, toS: 28, torque: 0.85 },
  { fromS: 34, toS: 38, torque: 1.4 },
  { fromS: 44, toS: 48, torque: 0.75 },
  { fromS: 54, toS: 58, torque: 1 },
];

export const torqueAt = (t: number): number =>
  brakings.find(({ fromS, toS }) => t >= fromS && t <= toS)?.torque ?? 0;

/** Turns a second, read once a second: gains 0.25 turns/s² rolling, loses 0.4 of that more for each unit of torque. */
export function rideDown(): { timeS: number[]; wheelHz: number[] } {
  const timeS: number[] = [];
  const wheelHz: number[] = [];
  let turns = 4;
  for (let i = 0; i <= 6000; i++) {
    const t = i / 100;
    if (i % 100 === 0) {
      timeS.push(t);
      wheelHz.push(turns);
    }
    turns += (0.25 - 0.62 * torqueAt(t)) / 100;
  }
  return { timeS, wheelHz };
}

/** One tone in each braking. */
export const howl = (hzAt: (torque: number, t: number) => number): ToneTrack[] =>
  brakings.map(({ fromS, toS }) => tone(fromS + 0.5, toS - 0.3, (t) => hzAt(torqueAt(t), t)));

/** A pluck that rings. */
export const pluck = (atS: number, hz: number, ringing = 0.9): PluckSound => ({
  atS,
  endS: atS + 1,
  partials: [{ hz, standardUncertaintyHz: 0.05, levelDb: -20, q: 300, decayS: 0.3 }],
  fundamental: 0,
  ringing,
  doubts: ringing < 0.5 ? ['It dies away at once: a tap.'] : [],
});

export function evidence(given: Partial<BrakeNoiseEvidence> = {}): BrakeNoiseEvidence {
  return {
    sound: {
      file: 'ride.wav',
      channelUsed: 'the only one',
      sampleRateHz: 48_000,
      channels: 1,
      lengthSamples: 60 * 48_000,
      encoding: 'WAV, 16-bit PCM',
      durationS: 60,
      peakDbfs: -6,
      rmsDbfs: -25,
      clippedShare: 0,
      clippedAtS: [],
      silentShare: 0,
    },
    tracks: [],
    wheelSpeed: null,
    alignment: null,
    sessions: [],
    wheel: null,
    tensions: null,
    brakeTorqueNm: null,
    passing: [],
    inputs: [],
    warnings: [],
    ...given,
  };
}

export const find = (given: Partial<BrakeNoiseEvidence>): BrakeNoiseFinding =>
  estimateBrakeNoise(evidence(given));

export function oddsOf(finding: BrakeNoiseFinding, id: CauseId): number {
  return finding.explanations.find((one) => one.id === id)?.odds ?? 0;
}

/** Odds of all spokes together. */
export const spokesOdds = (finding: BrakeNoiseFinding): number =>
  oddsOf(finding, 'spokes-losing-disc-side') +
  oddsOf(finding, 'spokes-gaining-disc-side') +
  oddsOf(finding, 'spokes-other');
