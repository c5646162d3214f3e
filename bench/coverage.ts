/**
 * `npm run bench:coverage`: do the intervals hold the truth as often as they say, and how narrow are
 * they? Prints the two tables that stand in the docs.
 *
 *   --rows both|sharpness|coverage|hard   which table (both); hard: days beyond the assumptions
 *   --days N                         days of the spread (400)
 *   --per-row N                      days for each sharpness row (100)
 *   --seed N                         first seed (1)
 *   --workers N                      threads (2)
 */
import { parseArgs } from 'node:util';
import { Worker } from 'node:worker_threads';
import { sharpnessJobs, sharpnessRows, spreadJob, hardJob } from './coverage-conditions.ts';
import { countCoverage, median, percent } from './coverage-statistics.ts';
import type { DayJob } from './coverage-conditions.ts';
import type { DayScore, Scored } from './coverage-day.ts';

const { values } = parseArgs({
  options: {
    rows: { type: 'string', default: 'both' },
    days: { type: 'string', default: '400' },
    'per-row': { type: 'string', default: '100' },
    seed: { type: 'string', default: '1' },
    workers: { type: 'string', default: '2' },
  },
});
const wanted = (table: string): boolean =>
  values.rows === table || (values.rows === 'both' && table !== 'hard');
const seed = Number(values.seed);
const jobs: DayJob[] = [];
if (wanted('sharpness')) jobs.push(...sharpnessJobs(Number(values['per-row']), seed));
if (wanted('coverage')) {
  // Far from the sharpness seeds, so that no day is in both tables.
  jobs.push(...Array.from({ length: Number(values.days) }, (_, i) => spreadJob(i, 100_000 + seed)));
}
if (wanted('hard')) {
  jobs.push(...Array.from({ length: Number(values.days) }, (_, i) => hardJob(i, 200_000 + seed)));
}
if (jobs.length === 0) {
  console.error(
    'Nothing to do: --rows is both, sharpness, coverage or hard, and --days and --per-row are counts.',
  );
  process.exit(2);
}

const started = performance.now();
const { scores, failures } = await scoreAll(jobs, Number(values.workers));
const minutes = (performance.now() - started) / 60_000;
console.log(
  `${scores.length} invented days in ${minutes.toFixed(1)} min, seed ${seed}, Node ${process.versions.node}.\n`,
);
if (wanted('sharpness')) printSharpness(scores);
for (const row of ['spread', 'hard']) {
  const days = scores.filter(({ job }) => job.row === row);
  if (days.length === 0) continue;
  if (row === 'hard') console.log('Days beyond the assumptions of the method.\n');
  printCoverage(days);
}
for (const failure of failures) console.error(`FAILED ${failure}`);
if (failures.length > 0) process.exit(1);

/** Hands the jobs to the threads one at a time. */
async function scoreAll(
  all: DayJob[],
  threads: number,
): Promise<{ scores: DayScore[]; failures: string[] }> {
  const scored: DayScore[] = [];
  const failed: string[] = [];
  let next = 0;
  const file = new URL('./coverage-worker.ts', import.meta.url);
  await Promise.all(
    Array.from(
      { length: Math.max(1, threads) },
      () =>
        new Promise<void>((resolve, reject) => {
          const worker = new Worker(file);
          const give = (): void => {
            if (next < all.length) worker.postMessage(all[next++]);
            else void worker.terminate().then(() => resolve());
          };
          worker.on('error', reject);
          worker.on('message', ({ score, failure }: { score?: DayScore; failure?: string }) => {
            if (score) scored.push(score);
            if (failure) failed.push(failure);
            give();
          });
          give();
        }),
    ),
  );
  return { scores: scored, failures: failed };
}

function middle(scored: Scored[]): [error: string, half: string] {
  if (scored.length === 0) return ['-', '-'];
  return [
    median(scored.map(({ errorM2 }) => Math.abs(errorM2))).toFixed(5),
    median(scored.map(({ halfWidthM2 }) => halfWidthM2)).toFixed(4),
  ];
}

function printSharpness(all: DayScore[]): void {
  console.log(
    'Sharpness: median absolute error of a difference and median half-width of its 95 % interval, m².',
  );
  console.log('Spreadsheet: calm air taken for granted | airspeed sensor believed as it is.\n');
  console.log(
    '| day | days | spreadsheet, calm | spreadsheet, sensor | ours | at most | coverage |',
  );
  console.log('|---|---|---|---|---|---|---|');
  for (const { row, atMostM2, conditions } of sharpnessRows) {
    const days = all.filter(({ job }) => job.row === row);
    const reduced = days.filter(({ refused }) => refused === null);
    const [calmError, calmHalf] = middle(days.flatMap(({ calm }) => calm));
    const [sensorError, sensorHalf] = middle(days.flatMap(({ sensor }) => sensor));
    const [error, half] = middle(reduced.flatMap(({ ours }) => ours));
    const sensor = conditions.sensors?.airspeed === false ? '-' : `${sensorError} / ${sensorHalf}`;
    const coverage = countCoverage(reduced.map(({ ours }) => ours.map(({ covered }) => covered)));
    console.log(
      `| ${row} | ${reduced.length} | ${calmError} / ${calmHalf} | ${sensor} | ${error} / ${half} | ${atMostM2} | ${coverage.text} |`,
    );
  }
  console.log('');
  printRefusals(all.filter(({ job }) => sharpnessRows.some(({ row }) => row === job.row)));
}

function printCoverage(spread: DayScore[]): void {
  console.log(
    'Coverage: how often the 95 % interval of a difference holds the truth. The interval in brackets is',
  );
  console.log(
    'the 95 % interval of that share (Wilson), widened because differences of one day share its control.\n',
  );
  console.log(
    '| days | reduced | differences | coverage | all at once | ours: error / half-width | spreadsheet, calm | its coverage |',
  );
  console.log('|---|---|---|---|---|---|---|---|');
  const groups = [...new Set(spread.flatMap(({ job }) => job.groups))];
  const first = groups.filter((group) => group === 'all days');
  for (const group of [...first, ...groups.filter((g) => g !== 'all days').sort()]) {
    const days = spread.filter(
      ({ job, refused }) => refused === null && job.groups.includes(group),
    );
    const coverage = countCoverage(days.map(({ ours }) => ours.map(({ covered }) => covered)));
    const together = days.filter(({ allCovered }) => allCovered).length / days.length;
    const [error, half] = middle(days.flatMap(({ ours }) => ours));
    const [calmError, calmHalf] = middle(days.flatMap(({ calm }) => calm));
    const calm = countCoverage(days.map((day) => day.calm.map(({ covered }) => covered)));
    console.log(
      `| ${group} | ${days.length} | ${coverage.count} | ${coverage.text} | ${percent(together)} | ${error} / ${half} | ${calmError} / ${calmHalf} | ${percent(calm.share)} |`,
    );
  }
  const reduced = spread.filter(({ refused }) => refused === null);
  const absolute = countCoverage(reduced.map((day) => day.absolute.map(({ covered }) => covered)));
  const sum = (of: (day: DayScore) => number): number =>
    reduced.reduce((total, day) => total + of(day), 0);
  console.log(`\nAbsolute CdA inside its interval: ${absolute.text} of ${absolute.count}.`);
  console.log(
    `Called lower or higher: ${sum((d) => d.separated)}, of these with the wrong sign: ${sum((d) => d.wrongSign)}.`,
  );
  console.log(
    `Laps left out: ${sum((d) => d.lapsLeftOut)}. Median time to reduce a day: ${median(reduced.map((d) => d.seconds)).toFixed(2)} s.`,
  );
  printRefusals(spread);
}

function printRefusals(days: DayScore[]): void {
  const refused = days.filter((day) => day.refused !== null);
  if (refused.length === 0) return;
  console.log(`Refused: ${refused.length} of ${days.length} days.`);
  for (const { job, refused: why } of refused.slice(0, 10)) {
    console.log(`- ${job.groups.slice(0, 3).join('; ')}; seed ${job.seed}: ${why}`);
  }
  console.log('');
}
