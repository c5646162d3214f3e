import type { SoundKind, SoundState, Tone } from '../../application/contract.ts';
import { decimalsFor, fixed, halfWidth, momentText, thin } from '../../figures/index.ts';

export const soundKinds: Record<SoundKind, string> = {
  noise: 'Noise on a ride',
  plucks: 'Plucked spokes',
};

export const stateWords: Record<SoundState, string> = {
  waiting: 'Waits for its turn',
  analysing: 'Being listened to',
  ready: 'Listened to',
  refused: 'Not usable',
  stopped: 'Stopped',
};

/** `412.3 ± 0.4 Hz`, with the digits that the interval bears. */
export function hzWords(hz: number, ci95: readonly [number, number]): string {
  const half = halfWidth(ci95);
  const decimals = Math.min(2, decimalsFor(half));
  return `${fixed(hz, decimals)} ± ${fixed(Math.max(half, 10 ** -decimals), decimals)}${thin}Hz`;
}

export const levelWords = (tone: Tone): string =>
  `${fixed(tone.levelDb, 0)}${thin}dB, ${fixed(tone.toneToNoiseDb, 0)}${thin}dB above the noise`;

/** From when to when a tone sounds. */
export function spanWords({ from, to }: { from: number; to: number }): string {
  const decimals = to - from < 10 ? 1 : 0;
  return `${momentText(from, decimals)} to ${momentText(to, decimals)}`;
}

/** Whether a tone goes with the wheel's speed, in words. */
export function followsWords({ followsWheel, order, orderName }: Tone): string {
  if (followsWheel === null) return 'not known whether it follows the wheel';
  if (!followsWheel) return 'stays while the wheel slows';
  if (order === null) return 'follows the wheel';
  const name = orderName === null ? '' : ` (${orderName})`;
  return `follows the wheel, ${fixed(order, order < 10 ? 1 : 0)} per turn${name}`;
}

const ordinals = ['', '', '2nd', '3rd'];
export const ordinal = (n: number): string => ordinals[n] ?? `${n}th`;

/** Probability as a whole number of percent: more digits than that are not known. */
export function oddsWords(odds: number): string {
  const percent = Math.round(odds * 100);
  if (percent < 1) return `under 1${thin}%`;
  if (percent > 99) return `over 99${thin}%`;
  return `${percent}${thin}%`;
}

/** `3.2 MB`. */
export function sizeWords(bytes: number): string {
  if (bytes < 1e6) return `${Math.max(1, Math.round(bytes / 1e3))}${thin}kB`;
  return bytes < 1e9 ? `${fixed(bytes / 1e6, 1)}${thin}MB` : `${fixed(bytes / 1e9, 2)}${thin}GB`;
}

/** First letter large: causes come as parts of a sentence. */
export const begun = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** A file's name as a title: without its ending, words apart. */
export function titleOf(file: string): string {
  const name = file
    .replace(/\.[^.]{1,5}$/, '')
    .replace(/_+/g, ' ')
    .trim();
  return (name || file).slice(0, 200);
}
