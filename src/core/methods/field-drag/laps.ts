import type { DayEvidence } from '../../evidence/index.ts';
import type { Problem } from '../../units/index.ts';
import { findLoopLaps } from './loop-laps.ts';
import { findReturnLaps } from './return-laps.ts';
import type { DaySeries } from './series.ts';
import type { FoundLaps } from './stretches.ts';

/**
 * Finds the whole laps of every run: from lap marks, from passes of a gate on a loop, from
 * turnarounds on an out-and-back.
 *
 * Errors: `laps-not-found` when no two stretches of equal length exist.
 */
export function findLaps(evidence: DayEvidence, series: DaySeries): FoundLaps {
  const { course } = evidence.day;
  return course.kind === 'loop' ? findLoopLaps(evidence, series) : findReturnLaps(evidence, series);
}

/** A mean speed that nobody keeps on a road alone, m/s (90 km/h); common practice, no source. */
const fastestMeanMps = 25;

/** A run with no whole lap counts for nothing in the comparison, and must not do so in silence. */
export function sayRunsWithoutLaps(
  { day }: DayEvidence,
  { runs }: DaySeries,
  laps: FoundLaps['laps'],
): Problem[] {
  return laps.flatMap((own, index): Problem[] => {
    if (own.length > 0) return [];
    const { timeS, pathM } = runs[index];
    const meanMps = (pathM.at(-1)! - pathM[0]) / (timeS.at(-1)! - timeS[0]);
    const fast = meanMps > fastestMeanMps;
    return [
      {
        code: 'laps-not-found',
        file: day.runs[index].file,
        place: { run: index + 1 },
        message: `No whole lap of the day's road was found in this run, so it is not in the comparison.${fast ? ` Its mean speed would be ${meanMps.toFixed(0)} m/s (${(3.6 * meanMps).toFixed(0)} km/h): the speeds look like km/h.` : ''}`,
        remedy: fast
          ? 'Say in the column map what unit the speeds are in, or write them in m/s.'
          : 'Check that this is the recording meant, and "from" and "to"; mark laps at the same place in every run.',
      },
    ];
  });
}
