import type { Span } from '../core/evidence/index.ts';
import type { Problem } from '../core/units/index.ts';
import type { SteadyClock } from './clock.ts';

/** A stretch without samples longer than this is a gap. */
export const gapS = 5;

/**
 * Stretches in which the device was paused or recorded nothing for over 5 s, merged, in order. Gaps
 * that a stopped timer explains are counted as pauses only.
 */
export function findPauses(
  file: string,
  clock: Pick<SteadyClock, 'timeS' | 'toRecordingS'>,
  timerPauses: readonly { fromS: number; toS: number }[],
): { pauses: Span[]; warnings: Problem[] } {
  const { timeS } = clock;
  const endS = timeS[timeS.length - 1];
  const stops = merge(
    timerPauses
      .map(({ fromS, toS }) => ({
        fromS: Math.max(0, clock.toRecordingS(fromS)),
        toS: Math.min(endS, clock.toRecordingS(toS)),
      }))
      .filter(({ fromS, toS }) => toS > fromS),
  );

  const gaps: Span[] = [];
  let s = 0;
  for (let i = 1; i < timeS.length; i += 1) {
    const fromS = timeS[i - 1];
    const toS = timeS[i];
    if (toS - fromS <= gapS) continue;
    while (s < stops.length && stops[s].toS <= fromS) s += 1;
    // A gap is explained by pauses when what they leave of it is no longer than a gap may be.
    let openS = toS - fromS;
    for (let k = s; k < stops.length && stops[k].fromS < toS; k += 1) {
      openS -= Math.min(toS, stops[k].toS) - Math.max(fromS, stops[k].fromS);
    }
    if (openS > gapS) gaps.push({ fromS, toS });
  }

  const warnings: Problem[] = [];
  if (stops.length > 0) {
    warnings.push({
      code: 'recording-pause',
      file,
      place: { timeS: stops[0].fromS },
      message: `The timer was stopped ${times(stops.length)}, for ${totalS(stops).toFixed(0)} s in all.`,
    });
  }
  if (gaps.length > 0) {
    const longestS = gaps.reduce((most, { fromS, toS }) => Math.max(most, toS - fromS), 0);
    warnings.push({
      code: 'recording-gap',
      file,
      place: { timeS: gaps[0].fromS },
      message: `Nothing was recorded for over ${gapS} s ${times(gaps.length)}, ${totalS(gaps).toFixed(0)} s in all, the longest ${longestS.toFixed(0)} s.`,
      remedy: 'Set the device to record every second.',
    });
  }
  return { pauses: merge([...stops, ...gaps]), warnings };
}

const times = (n: number): string => (n === 1 ? 'once' : `${n} times`);
const totalS = (spans: Span[]): number =>
  spans.reduce((sum, { fromS, toS }) => sum + toS - fromS, 0);

function merge(spans: Span[]): Span[] {
  const merged: Span[] = [];
  for (const span of spans.sort((a, b) => a.fromS - b.fromS)) {
    const last = merged[merged.length - 1];
    if (last !== undefined && span.fromS <= last.toS) last.toS = Math.max(last.toS, span.toS);
    else merged.push({ ...span });
  }
  return merged;
}
