/** From tones, plucks and a wheel to the odds of what made the noise. */
import type { SoundFormat, SoundLevels, ToneTrack, Wheel } from '../../evidence/index.ts';
import { followSpeed, type WheelSpeed } from '../../signal/index.ts';
import { LapbenchError, type Problem } from '../../units/index.ts';
import { brakingOf } from './braking.ts';
import { candidatesOf, torquePrior } from './candidates.ts';
import { computedPitchSpread, curveOf, soundingSpokes, type SoundingSpoke } from './model.ts';
import { oddsOf, type CauseOdds } from './odds.ts';
import { assignPlucks, type PluckSession } from './plucks.ts';
import type { BrakeNoiseFinding, Explanation } from './result.ts';
import { sourcesOf, tonesOf, type Source, type TrackAgainstSpeed } from './sources.ts';
import { soundWarnings } from './sound-warnings.ts';
import { causeInWords, suggestionsFor, whyInWords } from './words.ts';

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
  const sources = sourcesOf(tones, speeds, evidence.wheelSpeed && brakingOf(evidence.wheelSpeed));
  const explanations =
    sources.length === 0 ? [] : explained(sources, spokes, brakeTorqueNm, pitches.length > 0);
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

function explained(
  sources: Source[],
  spokes: SoundingSpoke[],
  brakeTorqueNm: number | null,
  plucked: boolean,
): Explanation[] {
  const torque = torquePrior(brakeTorqueNm);
  const common = plucked ? 0.01 : computedPitchSpread;
  const odds = oddsOf(candidatesOf(spokes, torque, common), sources);
  return odds.map((one) => explanationOf(one, sources, spokes));
}

function explanationOf(
  { candidate, odds, belongs, byChance }: CauseOdds,
  sources: readonly Source[],
  spokes: readonly SoundingSpoke[],
): Explanation {
  const own = sources.filter((_, i) => belongs[i] > 0.5);
  const places = own.flatMap((source) => candidate.nearest(source) ?? []);
  return {
    id: candidate.id,
    cause: causeInWords(candidate.id, spokes),
    odds,
    predictedHz: places.map(({ hz }) => hz),
    atTorqueNm: places.map(({ torqueNm }) => torqueNm),
    tones: own.flatMap((source) => source.tones.map(({ tone }) => tone)).sort((a, b) => a - b),
    byChance,
    why: whyInWords({ id: candidate.id, sources: own, all: sources, places, byChance, spokes }),
  };
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
