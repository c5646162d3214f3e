/**
 * Pitch of a plucked spoke to tension, and the ends of the spoke from one of known tension. The ends' spring is
 * taken in proportion to the spoke's bending stiffness, k = E·I·g with one g for both sides: a thicker spoke
 * sits the stiffer in the same kind of seat.
 */
import type { BySide, Side, SpokeReading, Wheel } from '../../evidence/index.ts';
import { mean, median } from '../../statistics/index.ts';
import {
  beamFrequencyHz,
  beamTensionN,
  clampedEnds,
  endFixity,
  endSpringFrom,
  pinnedEnds,
  sideShapes,
  spokeBeam,
  stringTensionN,
  type BeamEnds,
  type TensionedBeam,
} from '../../structure/index.ts';
import { LapbenchError, standardGravityMps2, type Problem } from '../../units/index.ts';
import { bothSides, meanTensionN, type ReadSpoke } from './model.ts';
import type { PitchCondition } from './result.ts';

/** A spoke whose tension was measured another way. */
export interface KnownSpoke {
  spoke: number;
  tensionN: number;
  /** 0 or left out: taken as exact. */
  standardUncertaintyN?: number;
}

/** The beams of both sides out of the wheel's geometry; a blade is taken as plucked flat. */
export function beamsOf(wheel: Wheel): BySide<TensionedBeam> {
  const { shapes } = sideShapes(wheel);
  const beam = (side: Side): TensionedBeam =>
    spokeBeam(wheel.spokes[side], shapes[side].lengthM, 'flat');
  return { left: beam('left'), right: beam('right') };
}

/** g in 1/m to springs at the ends of a beam. */
export const endsAt = (beam: TensionedBeam, g: number): BeamEnds =>
  g === Infinity ? clampedEnds : [g * beam.bendingNm2, g * beam.bendingNm2];

/**
 * Refuses pitches that are no fundamental: about twice or half those of the neighbours, or of no wheel at all.
 * Bounds are common practice, no source.
 */
export function refuseOctaves(
  readings: readonly SpokeReading[],
  beams: BySide<TensionedBeam>,
): void {
  const problems: Problem[] = [];
  for (const side of bothSides) {
    const own = readings.filter((one) => one.side === side);
    if (own.length < 3) continue;
    const middle = median(own.map(({ reading }) => reading));
    for (const { spoke, reading, line } of own) {
      const times = reading / middle;
      // The second partial of a stiff spoke lies 5 to 10 % above the octave.
      const twice = times > 1.8 && times < 2.4;
      if (!twice && !(times > 0.45 && times < 0.55)) continue;
      problems.push({
        code: 'pitch-octave',
        ...(line === null ? {} : { place: { line } }),
        message: `Spoke ${spoke} at ${shown(reading)} Hz is about ${twice ? 'twice' : 'half'} the ${side} side’s ${shown(middle)} Hz: it looks an octave off.`,
        remedy: `Pluck it in the middle and read its lowest tone again${twice ? '' : '; a spoke that really is that loose is tightened near its neighbours first'}.`,
      });
    }
  }
  if (problems.length > 0) throw new LapbenchError(problems);
  for (const side of bothSides) {
    const own = readings.filter((one) => one.side === side);
    if (own.length === 0) continue;
    const pitch = median(own.map(({ reading }) => reading));
    const usual = (hz: number): boolean => {
      const [low, high] = [clampedEnds, pinnedEnds].map((ends) =>
        beamTensionN(beams[side], hz, ends),
      );
      return low !== null && low < 2200 && high !== null && high > 100;
    };
    if (usual(pitch)) continue;
    const meant = [2, 0.5].find((factor) => usual(pitch * factor));
    const [from, to] = [
      beamFrequencyHz(beams[side], 100, pinnedEnds),
      beamFrequencyHz(beams[side], 2200, clampedEnds),
    ];
    throw new LapbenchError({
      code: 'pitch-octave',
      message:
        `The ${side} side sounds at ${shown(pitch)} Hz; spokes of this length and section give ${shown(from)} to ${shown(to)} Hz between 100 and 2200 N` +
        `${meant === undefined ? '.' : `: the readings look an octave too ${meant > 1 ? 'low' : 'high'}.`}`,
      remedy:
        'Read the lowest tone in hertz, and check length and section of the spokes in the wheel sheet.',
    });
  }
}

const shown = (value: number): string => String(Number(value.toPrecision(4)));

/** Tension of one reading, or null below the pitch of a slack spoke. */
export const pitchTensionN = (beam: TensionedBeam, hz: number, g: number): number | null =>
  beamTensionN(beam, hz, endsAt(beam, g));

/** How the ends were found. */
export interface FoundEnds {
  g: number;
  calibrated: boolean;
  known: readonly KnownSpoke[];
  warnings: Problem[];
}

/** A known spoke with its mean pitch. */
interface KnownPitch extends KnownSpoke {
  hz: number;
  side: Side;
}

/** How far a known tension may lie beyond what pinned or clamped ends allow before it is refused. */
const slackOfKnown = 0.05;

/**
 * Ends from the known spokes: exactly through one, by least squares of tension through several; clamped, with a
 * warning, without any.
 *
 * @throws LapbenchError `spoke-missing`, `pitch-octave`, `reading-unit` or `end-condition`
 */
export function findEnds(
  readings: readonly SpokeReading[],
  known: readonly KnownSpoke[],
  beams: BySide<TensionedBeam>,
): FoundEnds {
  if (known.length === 0) return { g: Infinity, calibrated: false, known, warnings: [] };
  const pitches = known.map((one): KnownPitch => {
    const own = readings.filter(({ spoke }) => spoke === one.spoke);
    if (own.length === 0) {
      throw new LapbenchError({
        code: 'spoke-missing',
        message: `The tension of spoke ${one.spoke} is known, but its pitch was not read.`,
        remedy: 'Read its pitch too, or name a spoke that was read.',
      });
    }
    return { ...one, hz: mean(own.map(({ reading }) => reading)), side: own[0].side };
  });
  const judged = pitches.flatMap((one) => judgeKnown(one, beams[one.side]));
  // Of several, what they say together counts.
  const warnings = pitches.length === 1 ? judged : [];
  const g = pitches.length === 1 ? throughOne(pitches[0], beams) : throughSeveral(pitches, beams);
  for (const one of pitches) {
    const tensionN = pitchTensionN(beams[one.side], one.hz, g) ?? 0;
    const off = tensionN / one.tensionN - 1;
    if (pitches.length > 1 && Math.abs(off) > 0.07) {
      warnings.push({
        code: 'end-condition',
        message: `The known spokes do not agree: by the common ends spoke ${one.spoke} has ${tensionN.toFixed(0)} N, not ${one.tensionN} N.`,
        remedy: 'Measure the known tensions and read those pitches again.',
      });
    }
  }
  return { g, calibrated: true, known, warnings };
}

function judgeKnown(one: KnownPitch, beam: TensionedBeam): Problem[] {
  const low = beamTensionN(beam, one.hz, clampedEnds) ?? 0;
  const high = beamTensionN(beam, one.hz, pinnedEnds) ?? 0;
  const within = (tensionN: number, room: number): boolean =>
    tensionN > low * (1 - room) && tensionN < high * (1 + room);
  if (within(one.tensionN, 0)) return [];
  const bounds = `With ${shown(one.hz)} Hz spoke ${one.spoke} has from ${low.toFixed(0)} N (clamped ends) to ${high.toFixed(0)} N (pinned), not ${one.tensionN} N`;
  if (within(one.tensionN, slackOfKnown)) {
    const nearest = one.tensionN < low ? 'clamped' : 'pinned';
    return [
      {
        code: 'end-condition',
        message: `${bounds}: the ends are taken as ${nearest}, the nearest there is.`,
        remedy: 'Check the spoke’s length and section in the wheel sheet, and the known tension.',
      },
    ];
  }
  if (within(one.tensionN * standardGravityMps2, slackOfKnown)) {
    throw new LapbenchError({
      code: 'reading-unit',
      message: `${bounds}; ${one.tensionN} kgf would fit.`,
      remedy: `Is it kilograms? Then give the known tension in newtons: ${(one.tensionN * standardGravityMps2).toFixed(0)}.`,
    });
  }
  const octave = [2, 0.5].find((factor) => {
    const ends = [clampedEnds, pinnedEnds].map(
      (each) => beamTensionN(beam, one.hz * factor, each) ?? 0,
    );
    return one.tensionN > 0.9 * ends[0] && one.tensionN < 1.1 * ends[1];
  });
  throw new LapbenchError({
    code: octave === undefined ? 'end-condition' : 'pitch-octave',
    message: `${bounds}${octave === undefined ? '.' : `; ${shown(one.hz * octave)} Hz would fit: the pitch looks an octave off.`}`,
    remedy:
      'Pluck the spoke free of those that it crosses and read its lowest tone; check its known tension, length and section.',
  });
}

function throughOne(one: KnownPitch, beams: BySide<TensionedBeam>): number {
  const beam = beams[one.side];
  const spring = endSpringFrom(beam, one.tensionN, one.hz);
  if (spring === 'above') return Infinity;
  return spring === 'below' ? 0 : spring / beam.bendingNm2;
}

function throughSeveral(pitches: readonly KnownPitch[], beams: BySide<TensionedBeam>): number {
  // Common ends by their share of a clamped end, at a bending length of 12.5 mm.
  const gOf = (share: number): number => (share >= 1 ? Infinity : (80 * share) / (1 - share));
  const cost = (share: number): number =>
    pitches.reduce((sum, { side, hz, tensionN }) => {
      const found = pitchTensionN(beams[side], hz, gOf(share)) ?? 0;
      return sum + (found / tensionN - 1) ** 2;
    }, 0);
  const steps = 50;
  let best = 0;
  for (let i = 1; i <= steps; i++) if (cost(i / steps) < cost(best / steps)) best = i;
  let [low, high] = [Math.max(0, (best - 1) / steps), Math.min(1, (best + 1) / steps)];
  for (let i = 0; i < 40; i++) {
    const [a, b] = [low + (high - low) / 3, high - (high - low) / 3];
    if (cost(a) < cost(b)) high = b;
    else low = a;
  }
  return gOf(cost(1) <= cost((low + high) / 2) ? 1 : (low + high) / 2);
}

/**
 * The ends as they would be with the known tensions one standard uncertainty higher: what is not sure in them,
 * and how well a pitch repeats. Null where nothing is known of either.
 */
export function shiftedEnds(
  readings: readonly SpokeReading[],
  known: readonly KnownSpoke[],
  beams: BySide<TensionedBeam>,
  repeatabilityN: number | null,
): number | null {
  const variance = known.reduce((sum, { spoke, tensionN, standardUncertaintyN = 0 }) => {
    const times = readings.filter((one) => one.spoke === spoke).length;
    const repeat = repeatabilityN === null ? 0 : repeatabilityN ** 2 / times;
    return sum + (standardUncertaintyN ** 2 + repeat) / tensionN ** 2;
  }, 0);
  const relative = Math.sqrt(variance) / known.length;
  if (!(relative > 0)) return null;
  const moved = known.map((one) => ({ ...one, tensionN: one.tensionN * (1 + relative) }));
  try {
    return findEnds(readings, moved, beams).g;
  } catch (error) {
    // Past what the ends allow: pinned is the end of what can be.
    if (error instanceof LapbenchError) return 0;
    throw error;
  }
}

/** What was used, and what the other conditions would have given. */
export function pitchCondition(
  found: FoundEnds,
  spokes: readonly ReadSpoke[],
  beams: BySide<TensionedBeam>,
): PitchCondition {
  const { g, calibrated, known } = found;
  const meanAt = (tension: (beam: TensionedBeam, hz: number) => number | null): number =>
    mean(spokes.map(({ side, readings }) => tension(beams[side], mean(readings)) ?? 0));
  const first = known[0] ?? null;
  const side = spokes.find(({ spoke }) => spoke === first?.spoke)?.side ?? 'left';
  const spring = endsAt(beams[side], g)[0];
  const plain = known.map(({ spoke, tensionN }) => ({ spoke, tensionN }));
  return {
    condition: calibrated ? 'calibrated' : 'clamped',
    endFixity: endFixity(beams[side], meanTensionN(spokes), spring),
    knownSpoke: plain[0] ?? null,
    knownSpokes: plain,
    endSpringNmPerRad: spring === Infinity ? null : spring,
    plane: 'flat',
    meanByConditionN: {
      clamped: meanAt((beam, hz) => pitchTensionN(beam, hz, Infinity)),
      pinned: meanAt((beam, hz) => pitchTensionN(beam, hz, 0)),
      string: meanAt((beam, hz) => stringTensionN(beam, hz)),
    },
  };
}
