import type { Problem } from '../core/units/index.ts';
import type { RawLapMark } from './raw-samples.ts';

/** A message as the library gives it. */
export type FitMessage = Record<string, unknown>;

/** A FIT clock has whole seconds, elapsed times thousandths: laps that only touch may seem to overlap by this. */
const clockGrainS = 1.5;
/** Overlaps told one by one; more are counted. */
const mostTold = 5;

/** Seconds since 1970 of a time as the library gives it, NaN when it is none. */
export function epochS(value: unknown): number {
  return value instanceof Date ? value.getTime() / 1000 : NaN;
}

/**
 * Where laps after the first begin. A FIT clock has whole seconds, but a lap's elapsed time has
 * thousandths: where the sum of elapsed times agrees with the clock to a second, it is taken.
 */
export function lapMarks(laps: FitMessage[]): RawLapMark[] {
  const starts = laps.map((lap) => epochS(lap.start_time ?? lap.timestamp)).filter(Number.isFinite);
  const marks: RawLapMark[] = [];
  let summedS = starts[0];
  for (let i = 1; i < starts.length; i += 1) {
    const elapsedS = laps[i - 1].total_elapsed_time;
    summedS += typeof elapsedS === 'number' ? elapsedS : NaN;
    const agrees = Math.abs(summedS - starts[i]) < 1;
    if (!agrees) summedS = starts[i];
    marks.push({ timeS: summedS });
  }
  return marks;
}

/**
 * Warns of lap messages that claim the same stretch of time, as software that joins or edits files
 * leaves them: each begin still counts as a mark, so a lap may come out cut.
 */
export function overlappingLaps(laps: FitMessage[], file: string): Problem[] {
  const spans = laps
    .map((lap, index) => {
      const fromS = epochS(lap.start_time ?? lap.timestamp);
      const elapsedS = lap.total_elapsed_time;
      const toS = typeof elapsedS === 'number' ? fromS + elapsedS : epochS(lap.timestamp);
      return { number: index + 1, fromS, toS };
    })
    .filter(({ fromS, toS }) => Number.isFinite(fromS + toS))
    .sort((a, b) => a.fromS - b.fromS || a.number - b.number);
  const overlaps: { before: number; after: number; byS: number }[] = [];
  let furthest = spans[0];
  for (const span of spans.slice(1)) {
    const byS = Math.min(furthest.toS, span.toS) - span.fromS;
    if (byS > clockGrainS) overlaps.push({ before: furthest.number, after: span.number, byS });
    if (span.toS > furthest.toS) furthest = span;
  }
  if (overlaps.length === 0) return [];
  const told = overlaps
    .slice(0, mostTold)
    .map(({ before, after, byS }) => `${before} and ${after} by ${Math.round(byS)} s`);
  if (overlaps.length > mostTold) told.push(`${overlaps.length - mostTold} more pairs`);
  return [
    {
      code: 'laps-overlap',
      file,
      place: { lap: overlaps[0].after },
      message: `The file's own laps overlap: laps ${told.join('; ')}. Every beginning of a lap is taken as a mark.`,
      remedy:
        'Look at the laps found; where they are wrong, use the file as the device wrote it, unedited.',
    },
  ];
}
