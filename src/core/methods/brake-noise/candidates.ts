/** What each cause predicts of a source: the density of its pitch, of its wander, and of its slope with speed. */
import { normalQuantile } from '../../statistics/index.ts';
import { groupOf, type SoundingSpoke } from './model.ts';
import {
  anySpokeHz,
  brakeUnit,
  givenTorqueSpread,
  outsideDensity,
  secondModeShare,
  slopes,
  soundsWithoutBrake,
  tonalRangeHz,
  torqueSlopes,
  turningRangeHz,
  usualTorque,
  wander,
} from './priors.ts';
import type { CauseId } from './result.ts';
import type { Source } from './sources.ts';

export interface TorquePrior {
  medianNm: number;
  /** Of ln torque. */
  spread: number;
}

/** A cause that a source can be held against. */
export interface Candidate {
  id: CauseId;
  /** Spread of an error that moves all pitches of this cause together, in ln f. */
  commonSpread: number;
  /** Density over ln f, ln wander and slope with all pitches moved by `shift`. */
  density(source: Source, shift: number): number;
  /** Density over ln f alone, the common error inside it. */
  pitchDensity(lnHz: number): number;
  /** Where it would put this source. */
  nearest(source: Source): { hz: number; torqueNm: number; spoke: number; mode: 1 | 2 } | null;
}

export const torquePrior = (givenNm: number | null): TorquePrior =>
  givenNm === null ? usualTorque : { medianNm: givenNm, spread: givenTorqueSpread };

const normal = (x: number, middle: number, spread: number): number => {
  const z = (x - middle) / spread;
  return Math.exp(-0.5 * z * z) / (spread * Math.sqrt(2 * Math.PI));
};

const flat = (lnHz: number, { low, high }: { low: number; high: number }): number =>
  lnHz >= Math.log(low) && lnHz <= Math.log(high) ? 1 / Math.log(high / low) : outsideDensity;

const wanderDensity = (seen: number, expected: number, spread: number): number =>
  normal(
    Math.log(Math.max(seen, wander.floor)),
    Math.log(Math.max(expected, wander.floor)),
    spread,
  );

/** Slope of ln f against ln speed: 1 when it turns with the wheel, about 0 for a structure, anything else rarely. */
function slopeDensity(source: Source, kind: 'turns' | 'stays' | 'anything'): number {
  if (source.slope === null) return 1;
  const { value, standardUncertainty: own } = source.slope;
  const wide = normal(value, 0, Math.hypot(own, slopes.anythingSpread));
  const stays =
    (1 - slopes.spoiltShare) * normal(value, 0, Math.hypot(own, slopes.structureSpread)) +
    slopes.spoiltShare * wide;
  if (kind === 'turns') return normal(value, 1, Math.hypot(own, slopes.wheelSpread));
  if (kind === 'stays') return stays;
  return (1 - slopes.anythingShare) * stays + slopes.anythingShare * wide;
}

/** Slope of ln f against ln torque, where it is known. */
function torqueDensity(source: Source, expected: number, spread: number): number {
  const slope = source.torque?.slope;
  if (!slope) return 1;
  return normal(
    slope.value,
    slope.reliability * expected,
    Math.hypot(slope.standardUncertainty, spread),
  );
}

/** Whether it sounds with the brake only. */
function brakeDensity(source: Source, share: number): number {
  if (source.torque === null) return 1;
  return source.torque.withoutBrake > soundsWithoutBrake.least ? share : 1 - share;
}

/** Wander with the slope taken off where it is known. */
const heldWander = (source: Source): number =>
  source.torque?.slope ? source.torque.wander : source.wander;

/** A source that has nothing to do with wheel or brake, or with anything known. */
export const stray: Candidate = {
  id: 'none-of-these',
  commonSpread: 0,
  density: (source) =>
    flat(Math.log(source.hz), tonalRangeHz) *
    wanderDensity(heldWander(source), wander.none.median, wander.none.spread) *
    torqueDensity(source, 0, torqueSlopes.none) *
    brakeDensity(source, soundsWithoutBrake.none) *
    slopeDensity(source, 'anything'),
  pitchDensity: (lnHz) => flat(lnHz, tonalRangeHz),
  nearest: () => null,
};

const turning: Candidate = {
  id: 'turning-with-the-wheel',
  commonSpread: 0,
  density: (source) =>
    flat(Math.log(source.hz), turningRangeHz) *
    wanderDensity(heldWander(source), wander.wheel.median, wander.wheel.spread) *
    torqueDensity(source, 0, torqueSlopes.wheel) *
    brakeDensity(source, soundsWithoutBrake.wheel) *
    slopeDensity(source, 'turns'),
  pitchDensity: (lnHz) => flat(lnHz, turningRangeHz),
  nearest: () => null,
};

function brakeUnitCandidate(id: 'brake-unit-squeal' | 'brake-unit-chatter'): Candidate {
  const { hz, spread } = brakeUnit[id];
  return {
    id,
    commonSpread: 0,
    density: (source) =>
      normal(Math.log(source.hz), Math.log(hz), Math.hypot(spread, source.spread)) *
      wanderDensity(heldWander(source), wander.brakeUnit.median, wander.brakeUnit.spread) *
      torqueDensity(source, 0, torqueSlopes.floor) *
      brakeDensity(source, soundsWithoutBrake.brake) *
      slopeDensity(source, 'stays'),
    pitchDensity: (lnHz) => normal(lnHz, Math.log(hz), spread),
    nearest: () => null,
  };
}

/** One place where a spoke may sound: at one torque, in one mode. */
interface Place {
  lnHz: number;
  spread: number;
  weight: number;
  wander: number;
  /** Slope of ln f against ln torque. */
  slope: number;
  torqueNm: number;
  spoke: number;
  mode: 1 | 2;
}

const torquePoints = 41;

/** Torques of equal weight that stand for the prior: the middles of its quantiles. */
export const torqueGrid = ({ medianNm, spread }: TorquePrior): number[] =>
  Array.from(
    { length: torquePoints },
    (_, i) => medianNm * Math.exp(spread * normalQuantile((i + 0.5) / torquePoints)),
  );

function placesOf(spokes: readonly SoundingSpoke[], torque: TorquePrior): Place[] {
  const torques = torqueGrid(torque);
  return spokes.flatMap((one) =>
    ([1, 2] as const).flatMap((mode) =>
      torques.flatMap((torqueNm): Place[] => {
        const free = one.hzAt(0, mode);
        const hz = one.hzAt(torqueNm, mode);
        const more = one.hzAt(torqueNm * 1.05, mode);
        if (hz === null || free === null) return [];
        const moved = Math.log(hz / free);
        const slope = more === null ? -1 : Math.log(more / (hz ?? NaN)) / Math.log(1.05);
        const share = mode === 1 ? 1 - secondModeShare : secondModeShare;
        return [
          {
            lnHz: Math.log(hz),
            spread: Math.hypot(one.spread, one.slopeSpread * moved),
            weight: share / (spokes.length * torquePoints),
            wander: more === null ? wander.nearSlack : Math.abs(slope) * wander.torqueShare,
            slope,
            torqueNm,
            spoke: one.spoke,
            mode,
          },
        ];
      }),
    ),
  );
}

function spokeCandidate(
  id: CauseId,
  spokes: readonly SoundingSpoke[],
  torque: TorquePrior,
  commonSpread: number,
): Candidate {
  const places = placesOf(spokes, torque);
  const followed = (place: Place, source: Source): number =>
    source.torque?.slope
      ? torqueDensity(
          source,
          place.slope,
          Math.hypot(torqueSlopes.floor, torqueSlopes.share * place.slope),
        ) * wanderDensity(source.torque.wander, wander.spokesHeld.median, wander.spokesHeld.spread)
      : wanderDensity(source.wander, place.wander, wander.spokeSpread);
  const fit = (place: Place, source: Source, shift: number): number =>
    place.weight *
    normal(Math.log(source.hz), place.lnHz + shift, Math.hypot(place.spread, source.spread)) *
    followed(place, source);
  return {
    id,
    commonSpread,
    density: (source, shift) =>
      places.reduce((sum, place) => sum + fit(place, source, shift), 0) *
      brakeDensity(source, soundsWithoutBrake.brake) *
      slopeDensity(source, 'stays'),
    pitchDensity: (lnHz) =>
      places.reduce(
        (sum, { weight, lnHz: middle, spread }) =>
          sum + weight * normal(lnHz, middle, Math.hypot(spread, commonSpread)),
        0,
      ),
    nearest: (source) => {
      let best: Place | null = null;
      let most = 0;
      for (const place of places) {
        const wide = { ...place, spread: Math.hypot(place.spread, commonSpread) };
        const here = fit(wide, source, 0);
        if (here > most) [best, most] = [place, here];
      }
      return (
        best && {
          hz: Math.exp(best.lnHz),
          torqueNm: best.torqueNm,
          spoke: best.spoke,
          mode: best.mode,
        }
      );
    },
  };
}

/** Spokes of which nothing is known: anywhere that spokes are heard. */
function unknownSpokes(id: CauseId): Candidate {
  const { size, spread } = torqueSlopes.unknownSpoke;
  const expected = { 'spokes-losing-disc-side': -size, 'spokes-gaining-disc-side': size }[
    id as string
  ];
  return {
    id,
    commonSpread: 0,
    density: (source) =>
      flat(Math.log(source.hz), anySpokeHz) *
      wanderDensity(heldWander(source), wander.unknownSpoke.median, wander.unknownSpoke.spread) *
      torqueDensity(source, expected ?? 0, expected === undefined ? torqueSlopes.floor : spread) *
      brakeDensity(source, soundsWithoutBrake.brake) *
      slopeDensity(source, 'stays'),
    pitchDensity: (lnHz) => flat(lnHz, anySpokeHz),
    nearest: () => null,
  };
}

const spokeCauses = [
  'spokes-losing-disc-side',
  'spokes-gaining-disc-side',
  'spokes-other',
] as const;

/** All causes that can be held against a sound. A cause whose spokes this wheel has not is left out. */
export function candidatesOf(
  spokes: readonly SoundingSpoke[],
  torque: TorquePrior,
  commonSpread: number,
): Candidate[] {
  const bySpokes = spokeCauses.flatMap((id): Candidate[] => {
    if (spokes.length === 0) return [unknownSpokes(id)];
    const own = spokes.filter((one) => groupOf(one) === id);
    return own.length === 0 ? [] : [spokeCandidate(id, own, torque, commonSpread)];
  });
  return [
    ...bySpokes,
    brakeUnitCandidate('brake-unit-squeal'),
    brakeUnitCandidate('brake-unit-chatter'),
    turning,
    stray,
  ];
}
