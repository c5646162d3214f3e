import type { DayEvidence } from '../../evidence/index.ts';
import { median } from '../../statistics/index.ts';
import type { Problem } from '../../units/index.ts';
import type { LapResult } from './result.ts';

/** Marks laps that stand far from their like, then lets the person's word stand over all. */
export function judgeLaps(evidence: DayEvidence, laps: LapResult[], warnings: Problem[]): void {
  const { day } = evidence;
  const usable = laps.filter((lap) => lap.used);
  const bySetup = new Map<string, number[]>();
  for (const lap of usable) {
    bySetup.set(lap.setup, [...(bySetup.get(lap.setup) ?? []), lap.cdaM2!]);
  }
  const middle = new Map([...bySetup].map(([id, values]) => [id, median(values)]));
  const off = (lap: LapResult) => lap.cdaM2! - middle.get(lap.setup)!;
  if (usable.length >= 6) {
    // 1.4826 × median absolute deviation estimates the standard deviation of normal data.
    const spread = 1.4826 * median(usable.map((lap) => Math.abs(off(lap))));
    for (const lap of usable) {
      const like = bySetup.get(lap.setup)!.length;
      if (like < 3) continue;
      const allowed = Math.max(5 * spread, 4 * lap.standardUncertaintyM2!, 0.02 * lap.cdaM2!);
      if (Math.abs(off(lap)) <= allowed) continue;
      lap.used = false;
      lap.reason = `outlier: ${off(lap) > 0 ? '+' : '−'}${Math.abs(off(lap)).toFixed(3)} m² from the middle of its setup, ${(Math.abs(off(lap)) / Math.max(1e-9, spread)).toFixed(0)} times the usual scatter`;
    }
  }
  for (const word of day.overrules) {
    const lap = laps.find((one) => one.run === word.run && one.lap === word.lap);
    if (!lap) {
      warnings.push({
        code: 'overrule-unknown',
        place: { run: word.run, lap: word.lap },
        message: `The sheet has a word on lap ${word.lap} of run ${word.run}, which was not found on the road.`,
        remedy: 'Check the numbers against the list of laps.',
      });
      continue;
    }
    if (lap.used === word.use) continue;
    if (word.use && lap.cdaM2 === null) continue;
    lap.used = word.use;
    lap.overruled = true;
    const own = word.reason ? `: ${word.reason}` : '';
    lap.reason = word.use
      ? `kept by the tester${own} (the method would leave it out: ${lap.reason})`
      : `left out by the tester${own}`;
  }
  for (const lap of laps) {
    if (lap.used) continue;
    warnings.push({
      code: 'lap-left-out',
      file: day.runs[lap.run - 1].file,
      place: { run: lap.run, lap: lap.lap },
      message: `Left out, ${lap.reason}.`,
      remedy: lap.overruled
        ? undefined
        : 'Your word overrules this: the switch at the lap on the page, or an entry under "laps" in the sheet.',
    });
  }
}
