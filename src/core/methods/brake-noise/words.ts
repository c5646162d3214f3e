/** Why each cause has its odds, in words. */
import type { Predicted } from './cause.ts';
import { cluesOf, type Clues } from './clues.ts';
import type { Hearing } from './hearing.ts';
import { groupOf, type SoundingSpoke } from './model.ts';
import { anySpokeHz, brakeUnit, tonalRangeHz } from './priors.ts';
import type { CauseId } from './result.ts';
import type { TrackAgainstSpeed } from './tones.ts';

/** A cause's name for people; the disc's side is named where it is known. */
export function causeInWords(id: CauseId, spokes: readonly SoundingSpoke[]): string {
  const sided = spokes.some((one) => one.discSide !== null) ? ', disc side' : '';
  const names: Record<CauseId, string> = {
    'spokes-losing-disc-side': `spokes that lose tension under braking${sided}`,
    'spokes-gaining-disc-side': `spokes that gain tension under braking${sided}`,
    'spokes-other': sided
      ? 'spokes that braking leaves alone or of the other side'
      : 'spokes that braking leaves alone',
    'brake-unit-squeal': 'brake unit itself, squeal',
    'brake-unit-chatter': 'brake unit itself, chatter',
    'turning-with-the-wheel':
      'something that passes as the wheel turns: rotor slots, tread, spokes in the wind',
    'none-of-these': 'none of these',
  };
  return names[id];
}

export interface Reasons {
  id: CauseId;
  /** Positions in `hearing.heard` of the tones that it would make. */
  own: readonly number[];
  hearing: Hearing;
  /** By tone number less one. */
  speeds: readonly TrackAgainstSpeed[];
  /** Where it would put them. */
  places: readonly Predicted[];
  byChance: number | null;
  spokes: readonly SoundingSpoke[];
  /** Tones that glide together like a voice. */
  calls: ReadonlySet<number>;
}

export function whyInWords(reasons: Reasons): string {
  const { id, own, hearing, speeds } = reasons;
  const heard = own.length > 0 ? own : [hearing.prominent];
  const clues = cluesOf(hearing, heard, speeds);
  const sentences =
    id === 'none-of-these'
      ? [noneInWords(reasons, clues)]
      : id === 'turning-with-the-wheel'
        ? [turningInWords(clues)]
        : [
            fitInWords(reasons, clues),
            own.length > 0 ? torqueInWords(id, clues) : '',
            own.length > 0 && clues.braking === 'also without'
              ? 'Against it: some of it sounds while nobody brakes.'
              : '',
            clues.speed === 'follows'
              ? 'Against it: the pitch follows the speed of the wheel.'
              : '',
            clues.speed === 'stays' ? 'The pitch does not follow the speed of the wheel.' : '',
            own.length > 0 ? chanceInWords(reasons) : '',
          ];
  return sentences.filter((sentence) => sentence !== '').join(' ');
}

/** `465 Hz`, or `459 to 471 Hz` where the tones differ by more than one percent. */
function heardInWords({ hz: { low, high, mean } }: Clues): string {
  if (high / low < 1.01) return `${mean.toFixed(0)} Hz`;
  return `${low.toFixed(0)} to ${high.toFixed(0)} Hz`;
}

function fitInWords({ id, own, places, spokes }: Reasons, clues: Clues): string {
  const heard = heardInWords(clues);
  const lies = own.length > 1 ? `the tones lie at ${heard}` : `the tone lies at ${heard}`;
  if (id === 'brake-unit-squeal' || id === 'brake-unit-chatter') {
    const { hz } = brakeUnit[id];
    const name = id === 'brake-unit-squeal' ? 'squeal' : 'chatter';
    return `Published ${name} lies near ${hz} Hz, whatever speed and braking, and brakes differ; ${lies}.`;
  }
  const count = new Set(spokes.filter((one) => groupOf(one) === id).map(({ spoke }) => spoke)).size;
  if (spokes.length === 0)
    return `Without plucks or a wheel sheet nothing is known of these spokes but that spokes sound somewhere from ${anySpokeHz.low} to ${anySpokeHz.high} Hz; ${lies}.`;
  if (places.length === 0)
    return count === 1
      ? `The one spoke of this kind does not reach ${heard} at a torque that braking reaches.`
      : `None of these ${count} spokes suits ${heard} at a torque that braking reaches.`;
  const some = places.slice(0, 3);
  const would = some.map((place) => placeInWords(place, spokes));
  return `${would.join('; ')}; ${lies}.`;
}

function placeInWords({ hz, torqueNm, spoke, mode }: Predicted, spokes: readonly SoundingSpoke[]) {
  const own = spokes.find((one) => one.spoke === spoke);
  const free = own?.hzAt(0, mode) ?? null;
  const heard = own !== undefined && own.basis !== 'mechanics';
  const [say, about] = heard ? [(x: number) => x.toFixed(0), ''] : [toTen, 'about '];
  const which = mode === 2 ? ' in its second mode' : '';
  const rest = free === null ? '' : ` (${about}${say(free)} Hz without torque)`;
  return `Spoke ${spoke}${which} would sound at ${about}${say(hz)} Hz under some ${twoDigits(torqueNm)} N m${rest}`;
}

const twoDigits = (value: number): string => String(Number(value.toPrecision(2)));
const toTen = (hz: number): string => (Math.round(hz / 10) * 10).toFixed(0);

/** What the pitch does as the braking gets harder, beside what this cause would have it do. */
function torqueInWords(id: CauseId, { torque }: Clues): string {
  if (torque === 'unknown' || torque === 'unclear') return '';
  const wanted: Partial<Record<CauseId, Clues['torque']>> = {
    'spokes-losing-disc-side': 'falls',
    'spokes-gaining-disc-side': 'rises',
    'brake-unit-squeal': 'stays',
    'brake-unit-chatter': 'stays',
  };
  const seen = {
    falls: 'the pitch falls as the braking gets harder',
    rises: 'the pitch rises as the braking gets harder',
    stays: 'the pitch stays as the braking gets harder',
  }[torque];
  if (wanted[id] === undefined) return `${seen[0].toUpperCase()}${seen.slice(1)}.`;
  return wanted[id] === torque ? `For it: ${seen}.` : `Against it: ${seen}.`;
}

function turningInWords({ speed }: Clues): string {
  return {
    follows: 'The pitch follows the speed of the wheel.',
    stays: 'Against it: the pitch does not follow the speed of the wheel.',
    unclear:
      'Speed changed too little while it sounded to say whether the pitch follows the wheel.',
    unknown:
      'Whether the pitch follows the wheel cannot be told without a ride recording in which speed changes while it sounds.',
  }[speed];
}

function noneInWords({ own, calls }: Reasons, { braking }: Clues): string {
  const left = 'What is left when nothing above fits well: a tone can come from anywhere.';
  const without =
    braking === 'also without' && own.length > 0 ? ' Some of it sounds while nobody brakes.' : '';
  const numbers = [...calls].sort((a, b) => a - b);
  const voice =
    numbers.length === 0
      ? ''
      : ` Tones ${numbers.slice(0, -1).join(', ')} and ${numbers.at(-1)} glide together like a voice or a horn and are not weighed.`;
  return left + without + voice;
}

function chanceInWords({ byChance }: Reasons): string {
  if (byChance === null) return '';
  const { low, high } = tonalRangeHz;
  const often = byChance < 0.01 ? 'less than once' : timesInWords(Math.round(100 * byChance));
  return `A tone placed at random between ${low} and ${high} Hz would fit as well ${often} in 100.`;
}

const timesInWords = (times: number): string => (times === 1 ? 'once' : `${times} times`);
