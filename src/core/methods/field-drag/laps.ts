import type { DayEvidence } from '../../evidence/index.ts';
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
