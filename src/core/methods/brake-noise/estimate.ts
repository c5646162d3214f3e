/** From tones, plucks and a wheel to the odds of what made the noise. */
import type { SoundFormat, SoundLevels, ToneTrack, Wheel } from '../../evidence/index.ts';
import { followSpeed, type WheelSpeed } from '../../signal/index.ts';
import { LapbenchError, type Problem } from '../../units/index.ts';
import { brakingOf } from './braking.ts';
import { callsAmong } from './calls.ts';
import { torquePrior, type Predicted } from './cause.ts';
import { causesOf } from './causes.ts';
import { hearingOf, type Hearing } from './hearing.ts';
import {
  computedPitchSpread,
  curveOf,
  pluckedPitchSpread,
  soundingSpokes,
  type SoundingSpoke,
} from './model.ts';
import { oddsOf, type CauseOdds } from './odds.ts';
import { assignPlucks, type PluckSession } from './plucks.ts';
import type { BrakeNoiseFinding, Explanation } from './result.ts';
import { tonesOf, type TrackAgainstSpeed } from './tones.ts';
import { soundWarnings } from './sound-warnings.ts';
import { suggestionsFor } from './suggestions.ts';
import { causeInWords, whyInWords } from './words.ts';

export interface BrakeNoiseEvidence {
  sound: SoundFormat & SoundLevels & { file: string; channelUsed: string };
  tracks: readonly ToneTrack[];
  /** Turns of the wheel per second in the sound's clock; null without a ride. */
  wheelSpeed: WheelSpeed | null;
  alignment: BrakeNoiseFinding['alignment'];
  sessions: readonly PluckSession[];
  wheel: Wheel | null;
  /** Tension log by spoke number. */
  tensions: ReadonlyMap<number, number> | null;
  /** Mean brake torque on the wheel while it howled, N m, when the person knows it. */
  brakeTorqueNm: number | null;
  /** Things on the wheel that pass once each turn: counts by name. */
  passing: readonly { name: string; count: number }[];
  inputs: BrakeNoiseFinding['inputs'];
  warnings: readonly Problem[];
}

const cautions = [
  'A brake that howls, grabs or fades belongs before a qualified mechanic; do not ride on a brake you doubt.',
  'Pluck and load the wheel in a stand with the bicycle secured. Never exceed the maker’s maximum spoke tension to cure a noise, and never put lubricant near rotor or pads.',
  'The odds weigh stated guesses against one recording. Change one thing, record again, and see whether the tone moves as said.',
];

/**
 * Odds of the causes of a brake noise. Nothing is refused for want of tones: then the finding says so.
 *
 * @throws LapbenchError `value-invalid` for a torque that is no torque, and those of the wheel's mechanics
 */
export function estimateBrakeNoise(evidence: BrakeNoiseEvidence): BrakeNoiseFinding {
  const { wheel, brakeTorqueNm, sound } = evidence;
  requireTorque(brakeTorqueNm);
  const { tones, speeds } = tonesOf(
    evidence.tracks,
    evidence.tracks.map((track) => againstSpeed(track, evidence.wheelSpeed)),
    (order) => orderName(order, evidence, wheel),
  );
  const { plucks, pitches, warnings } = assignPlucks(evidence.sessions, wheel);
  const spokes = soundingSpokes({ wheel, tensions: evidence.tensions, plucks: pitches });
  const calls = callsAmong(tones);
  const hearing = hearingOf(
    tones.filter(({ tone }) => !calls.has(tone)),
    evidence.wheelSpeed,
    evidence.wheelSpeed && brakingOf(evidence.wheelSpeed),
    sound.durationS,
  );
  const explanations =
    hearing.heard.length === 0
      ? []
      : explained({ hearing, speeds, spokes, calls }, evidence, pitches.length > 0);
  return {
    schema: 'lapbench/brake-noise@1',
    sound,
    tones,
    plucks,
    curves: spokes.map(curveOf),
    explanations,
    suggestions: suggestionsFor(explanations, wheel),
    brakeTorqueNm: torqueSaid(brakeTorqueNm),
    wheel: wheel && { name: wheel.name },
    alignment: evidence.alignment,
    warnings: [...evidence.warnings, ...soundWarnings(sound, tones), ...warnings],
    cautions,
    method: 'brake-noise 1',
    inputs: evidence.inputs,
  };
}

function requireTorque(torqueNm: number | null): void {
  if (torqueNm === null || (torqueNm > 0 && torqueNm <= 500)) return;
  throw new LapbenchError({
    code: 'value-invalid',
    message: `A brake torque of ${torqueNm} N m cannot be.`,
    remedy: 'Give newton metres at one wheel: hard braking on a bicycle stays below some 150.',
  });
}

function againstSpeed(track: ToneTrack, speed: WheelSpeed | null): TrackAgainstSpeed {
  if (speed === null)
    return { followsWheel: null, order: null, slope: null, slopeStandardUncertainty: null };
  return followSpeed(track, speed);
}

const orderTolerance = 0.01;

function orderName(
  order: number,
  { passing }: BrakeNoiseEvidence,
  wheel: Wheel | null,
): string | null {
  const spokes = wheel === null ? [] : spokeCounts(wheel);
  const hit = [...passing, ...spokes].find(
    ({ count }) => Math.abs(order / count - 1) < orderTolerance,
  );
  return hit?.name ?? null;
}

const spokeCounts = ({ spokes }: Wheel): { name: string; count: number }[] => [
  { name: 'spokes passing', count: spokes.left.count + spokes.right.count },
  { name: 'spokes of the left side passing', count: spokes.left.count },
  { name: 'spokes of the right side passing', count: spokes.right.count },
];

interface Heard {
  hearing: Hearing;
  speeds: readonly TrackAgainstSpeed[];
  spokes: readonly SoundingSpoke[];
  calls: ReadonlySet<number>;
}

function explained(
  heard: Heard,
  { brakeTorqueNm, passing, wheel }: BrakeNoiseEvidence,
  plucked: boolean,
): Explanation[] {
  const counts = [...passing, ...(wheel === null ? [] : spokeCounts(wheel))];
  const { hearing, spokes } = heard;
  const causes = causesOf({
    hearing,
    spokes,
    torque: torquePrior(brakeTorqueNm),
    commonSpread: plucked ? pluckedPitchSpread : computedPitchSpread,
    counts: [...new Set(counts.map(({ count }) => count))],
  });
  return oddsOf(causes, hearing).map((one) => explanationOf(one, heard));
}

function explanationOf(
  { cause, odds, belongs, predicted, byChance }: CauseOdds,
  { hearing, speeds, spokes, calls }: Heard,
): Explanation {
  const own = hearing.heard.map((_, i) => i).filter((i) => belongs[i] > 0.5);
  const places = placesOf(own.flatMap((i) => predicted[i] ?? []));
  return {
    id: cause.id,
    cause: causeInWords(cause.id, spokes),
    odds,
    predictedHz: places.map(({ hz }) => hz),
    atTorqueNm: places.map(({ torqueNm }) => torqueNm),
    tones: own.map((i) => hearing.heard[i].tone.tone).sort((a, b) => a - b),
    byChance,
    why: whyInWords({ id: cause.id, own, hearing, speeds, places, byChance, spokes, calls }),
  };
}

/** One place for each spoke and mode that sounds, at the mean of its torques, most tones first. */
function placesOf(all: readonly Predicted[]): Predicted[] {
  const groups = new Map<string, Predicted[]>();
  for (const one of all) {
    const key = `${one.spoke} ${one.mode}`;
    groups.set(key, [...(groups.get(key) ?? []), one]);
  }
  const mean = (values: readonly number[]): number =>
    values.reduce((sum, value) => sum + value, 0) / values.length;
  return [...groups.values()]
    .sort((a, b) => b.length - a.length)
    .map((own) => ({
      ...own[0],
      hz: mean(own.map(({ hz }) => hz)),
      torqueNm: mean(own.map(({ torqueNm }) => torqueNm)),
    }));
}

function torqueSaid(givenNm: number | null): BrakeNoiseFinding['brakeTorqueNm'] {
  const { medianNm, spread } = torquePrior(givenNm);
  const ratio = Math.exp(1.96 * spread);
  return {
    value: medianNm,
    ci95: [medianNm / ratio, medianNm * ratio],
    basis:
      givenNm === null
        ? 'not told: the range of usual braking is held possible'
        : 'as told, give or take 30 % from moment to moment',
  };
}
