/** Voices and horns: several harmonics of one deep note that come and go together. They are no brake's tones. */
import type { Tone } from './result.ts';

/** Notes of voices and horns, Hz, and how long a call lasts at most, s (common practice, no source). */
const note = { low: 80, high: 320 };
const longestS = 3;
/** Highest multiple looked at, and how far off it a tone may lie, as a share of the note. */
const highest = 12;
const off = 0.04;
/** Relative glide that a voice has and a steady howl has not, 1/s, and how alike those of one call are. */
const leastGlide = 0.04;
const glideSpread = 0.5;
/** Of the shorter tone, this part must be shared by all. */
const together = 0.6;

/**
 * Numbers of the tones that are calls: three or more that sound and glide together, at different whole multiples of one
 * note, two of them neighbours or one apart. A howl has harmonics too, but it does not glide like that.
 */
export function callsAmong(tones: readonly Tone[]): Set<number> {
  const calls = new Set<number>();
  const short = tones.filter(({ from, to }) => to - from <= longestS);
  for (const lowest of short) {
    const company = short.filter((other) => other.hz >= lowest.hz && soundTogether(lowest, other));
    if (company.length < 3) continue;
    for (let n = 1; n <= highest; n++) {
      const noteHz = lowest.hz / n;
      if (noteHz < note.low || noteHz > note.high) continue;
      const hits = company.filter(({ hz }) => {
        const times = Math.round(hz / noteHz);
        return times <= highest && Math.abs(hz / noteHz - times) < off;
      });
      const multiples = [...new Set(hits.map(({ hz }) => Math.round(hz / noteHz)))].sort(
        (a, b) => a - b,
      );
      const close = multiples.some((value, i) => i > 0 && value - multiples[i - 1] <= 2);
      if (multiples.length < 3 || !close || !glideTogether(hits)) continue;
      hits.forEach(({ tone }) => calls.add(tone));
    }
  }
  return calls;
}

function glideTogether(tones: readonly Tone[]): boolean {
  const glides = tones.map(({ driftHzPerS, hz }) => driftHzPerS / hz).sort((a, b) => a - b);
  const middle = glides[glides.length >> 1];
  return (
    Math.abs(middle) >= leastGlide &&
    glides.every((glide) => Math.abs(glide - middle) <= glideSpread * Math.abs(middle))
  );
}

function soundTogether(a: Tone, b: Tone): boolean {
  const both = Math.min(a.to, b.to) - Math.max(a.from, b.from);
  return both >= together * Math.min(a.to - a.from, b.to - b.from);
}
