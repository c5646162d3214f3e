/** The options of a sound: their usual values, and a check of what a person gives. */
import { finite, number, orNull, refuseUnfit, text, type Check } from './bench-options.ts';
import type { SoundKind, SoundOptions } from './contract-sounds.ts';

const usual: SoundOptions = {
  noise: {
    channel: 'mix',
    wheel: null,
    tensions: null,
    ride: null,
    startS: null,
    zoneMinutes: null,
    circumferenceM: null,
    brakeTorqueNm: null,
    rotorSlots: null,
    treadBlocks: null,
    plucks: [],
  },
  plucks: {
    channel: 'mix',
    brakeTorqueNm: 0,
    lever: null,
    spokes: null,
    leaveOut: [],
    wheel: null,
  },
};

const whole =
  (low: number, high: number): Check =>
  (value) =>
    Number.isInteger(value) && (value as number) >= low && (value as number) <= high
      ? null
      : `a whole number from ${low} to ${high}`;
const list =
  (each: Check, most: number): Check =>
  (value) => {
    if (!Array.isArray(value) || value.length > most) return `a list of at most ${most}`;
    const wrong = value.map(each).find((wanted) => wanted !== null);
    return wrong ? `a list with, for each, ${wrong}` : null;
  };
const named =
  (...names: string[]): Check =>
  (value) => {
    const given = (value ?? {}) as Record<string, unknown>;
    const fits =
      typeof value === 'object' &&
      Object.keys(given).length === names.length &&
      names.every((name) => typeof given[name] === 'string' && given[name].length <= 300);
    return fits ? null : `${names.join(' and ')} as texts`;
  };

const channel: Check = (value) =>
  value === 'mix' || whole(1, 32)(value) === null ? null : '"mix" or the number of a channel';
const ride: Check = (value) =>
  named('day', 'file')(value) === null || named('upload', 'file')(value) === null
    ? null
    : 'day and file, or upload and file';
const lever: Check = (value) => {
  const { massKg, lengthM, ...rest } = (value ?? {}) as Record<string, unknown>;
  const fits =
    Object.keys(rest).length === 0 &&
    finite(massKg) &&
    finite(lengthM) &&
    massKg > 0 &&
    massKg <= 100 &&
    lengthM > 0 &&
    lengthM <= 3;
  return fits ? null : 'massKg up to 100 and lengthM up to 3';
};

const checks: { [Kind in SoundKind]: Record<keyof SoundOptions[Kind], Check> } = {
  noise: {
    channel,
    wheel: orNull(text(100)),
    tensions: orNull(text(100)),
    ride: orNull(ride),
    startS: orNull(number(-86_400, 1_000_000)),
    zoneMinutes: orNull(whole(-14 * 60, 14 * 60)),
    circumferenceM: orNull(number(0.5, 3.5)),
    brakeTorqueNm: orNull(number(0.1, 500)),
    rotorSlots: orNull(whole(1, 10_000)),
    treadBlocks: orNull(whole(1, 10_000)),
    plucks: list(text(100), 20),
  },
  plucks: {
    channel,
    brakeTorqueNm: number(-500, 500),
    lever: orNull(lever),
    spokes: orNull(list(whole(1, 200), 500)),
    leaveOut: list(whole(1, 10_000), 500),
    wheel: orNull(text(100)),
  },
};

/** Options after a change. Throws `LapbenchError` with every option that is unknown or out of its range. */
export function checkedSoundOptions<Kind extends SoundKind>(
  kind: Kind,
  before: unknown,
  change: Record<string, unknown>,
): SoundOptions[Kind] {
  refuseUnfit(`a sound of kind ${kind}`, checks[kind], change);
  return { ...wholeSoundOptions(kind, before), ...change };
}

/** Stored options, with the usual values of those that were not there when they were stored. */
export function wholeSoundOptions<Kind extends SoundKind>(
  kind: Kind,
  stored: unknown,
): SoundOptions[Kind] {
  return { ...usual[kind], ...(stored as Partial<SoundOptions[Kind]> | null) };
}
