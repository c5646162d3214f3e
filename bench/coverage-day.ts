/** Simulates one day, reduces it by our method and by the spreadsheet, and sets both against the truth. */
import { estimateFieldDrag } from '../src/core/methods/field-drag/index.ts';
import { LapbenchError } from '../src/core/units/index.ts';
import { simulateDay } from '../src/simulation/index.ts';
import { evidenceOf } from '../test/simulated-evidence.ts';
import { spreadsheetMethod } from './baseline.ts';
import type { DayJob } from './coverage-conditions.ts';

export interface Scored {
  /** Estimate minus truth, m². */
  errorM2: number;
  halfWidthM2: number;
  covered: boolean;
}

export interface DayScore {
  job: DayJob;
  /** One for each difference to control; empty when the day was refused. */
  ours: Scored[];
  calm: Scored[];
  sensor: Scored[];
  /** All differences inside their simultaneous intervals. */
  allCovered: boolean;
  /** Differences called lower or higher when the truth has the other sign. */
  wrongSign: number;
  separated: number;
  /** Absolute CdA of each setup inside its interval. */
  absolute: Scored[];
  lapsLeftOut: number;
  refused: string | null;
  seconds: number;
}

const score = (errorM2: number, halfWidthM2: number): Scored => ({
  errorM2,
  halfWidthM2,
  covered: Math.abs(errorM2) <= halfWidthM2,
});

const scoreInterval = (value: number, [low, high]: [number, number], truth: number): Scored => ({
  errorM2: value - truth,
  halfWidthM2: (high - low) / 2,
  covered: low <= truth && truth <= high,
});

export function scoreDay(job: DayJob): DayScore {
  const simulated = simulateDay(job.conditions);
  const { cdaM2 } = simulated.truth;
  const truthOf = (setup: string): number => cdaM2[setup] - cdaM2[simulated.control];
  const evidence = evidenceOf(simulated);
  // The spreadsheet needs lap marks; without them it has no answer.
  const marked = evidence.recordings.every(({ lapMarksS }) => lapMarksS.length >= 2);
  const bySpreadsheet = (air: 'calm' | 'airspeed'): Scored[] =>
    !marked
      ? []
      : spreadsheetMethod(evidence, air).differences.map((d) =>
          score(d.deltaCdaM2 - truthOf(d.setup), d.halfWidthM2),
        );
  const result: DayScore = {
    job,
    ours: [],
    calm: bySpreadsheet('calm'),
    sensor: bySpreadsheet('airspeed'),
    allCovered: true,
    wrongSign: 0,
    separated: 0,
    absolute: [],
    lapsLeftOut: 0,
    refused: null,
    seconds: 0,
  };
  const start = performance.now();
  try {
    const finding = estimateFieldDrag(evidence);
    result.seconds = (performance.now() - start) / 1000;
    for (const d of finding.differences) {
      const truth = truthOf(d.setup);
      result.ours.push(scoreInterval(d.deltaCdaM2, d.ci95, truth));
      if (!scoreInterval(d.deltaCdaM2, d.ci95Simultaneous, truth).covered)
        result.allCovered = false;
      if (d.verdict === 'not separable') continue;
      result.separated++;
      if ((d.verdict === 'lower') !== truth < 0) result.wrongSign++;
    }
    result.absolute = finding.setups.map((s) => scoreInterval(s.cdaM2, s.ci95, cdaM2[s.id]));
    result.lapsLeftOut = finding.laps.filter((lap) => !lap.used).length;
  } catch (error) {
    if (!(error instanceof LapbenchError)) throw error;
    result.refused = error.problems.map(({ code, message }) => `${code}: ${message}`).join('; ');
  }
  return result;
}
