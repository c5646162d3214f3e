import type { Recording, Run } from '../../evidence/index.ts';

/** Seconds to add to each run's file time so that all runs share the clock of the day. */
export function dayOffsets(
  runs: Run[],
  recordings: Recording[],
): { offsetS: number[]; assumed: boolean } {
  for (const clock of ['startEpochS', 'startClockS'] as const) {
    const starts = recordings.map((recording) => recording[clock] ?? null);
    if (starts.some((start) => start === null)) continue;
    const spans = runs.map((run, i) => ({
      start: starts[i]! + (run.fromS ?? 0),
      end: starts[i]! + Math.min(run.toS ?? Infinity, recordings[i].timeS.at(-1) ?? 0),
    }));
    const apart = spans.every((a, i) =>
      spans.every((b, j) => i === j || a.end <= b.start + 1 || b.end <= a.start + 1),
    );
    const first = Math.min(...spans.map((span) => span.start));
    if (apart && Math.max(...spans.map((span) => span.end)) - first < 36 * 3600) {
      return { offsetS: starts.map((start) => start! - first), assumed: false };
    }
  }
  const gapS = 300;
  const offsetS: number[] = [];
  let clock = 0;
  for (let i = 0; i < runs.length; i++) {
    const same = i > 0 && recordings[i].file === recordings[i - 1].file;
    const from = runs[i].fromS ?? 0;
    if (same && from >= (runs[i - 1].fromS ?? 0)) {
      offsetS.push(offsetS[i - 1]);
    } else {
      offsetS.push(clock - from);
    }
    clock = offsetS[i] + Math.min(runs[i].toS ?? Infinity, recordings[i].timeS.at(-1) ?? 0) + gapS;
  }
  const oneFile = recordings.every((recording) => recording.file === recordings[0].file);
  return { offsetS, assumed: !oneFile };
}
