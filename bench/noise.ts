/**
 * `node bench/noise.ts`: is the right cause of a brake noise named first, are the odds as good as they
 * say, and are tones heard where there are none? On invented rides; prints the tables of the docs.
 *
 *   --rides N          rides with a tone for each of the three ways of asking (100)
 *   --without N        recordings without a tone, a minute each (60)
 *   --seed N           first seed (1)
 *   --db N|any         tone to noise in the critical band, dB; any: −3 to 12, by the seed (0)
 *   --brought everything|wheel|sound|all   what the tester brings (all)
 *   --estimator ours|nearest   nearest: the strongest line and the nearest known pitch, without odds
 *   --seconds N        length of a recording (60)
 *   --workers N        threads (2)
 *   --ceiling N        wheels on which the best possible share is worked out; 0: not (1000)
 *   --wrong            list the rides on which the first cause was wrong
 */
import { parseArgs } from 'node:util';
import { Worker } from 'node:worker_threads';
import type { Brought, NoiseJob } from './noise-case.ts';
import type { NoiseScore } from './noise-score.ts';
import { ceiling } from './noise-ceiling.ts';
import { printCeiling, printNoise } from './noise-tables.ts';

const { values } = parseArgs({
  options: {
    rides: { type: 'string', default: '100' },
    without: { type: 'string', default: '60' },
    seed: { type: 'string', default: '1' },
    db: { type: 'string', default: '0' },
    brought: { type: 'string', default: 'all' },
    estimator: { type: 'string', default: 'ours' },
    seconds: { type: 'string', default: '60' },
    workers: { type: 'string', default: '2' },
    ceiling: { type: 'string', default: '1000' },
    wrong: { type: 'boolean', default: false },
  },
});
const ways = {
  everything: ['everything'],
  wheel: ['wheel and ride'],
  sound: ['sound alone'],
  all: ['everything', 'wheel and ride', 'sound alone'],
} satisfies Record<string, Brought[]>;
const brought = ways[values.brought as keyof typeof ways];
const rides = Number(values.rides);
const without = Number(values.without);
const seed = Number(values.seed);
const toneToNoiseDb = values.db === 'any' ? null : Number(values.db);
const durationS = Number(values.seconds);
const known = ['ours', 'nearest'].includes(values.estimator);
if (
  !brought ||
  !known ||
  !(rides + without > 0) ||
  Number.isNaN(toneToNoiseDb) ||
  !(durationS > 0)
) {
  console.error('Nothing to do: see the options at the head of bench/noise.ts.');
  process.exit(2);
}
const jobs: NoiseJob[] = [
  ...brought.flatMap((way) =>
    Array.from({ length: rides }, (_, i): NoiseJob => {
      return { table: 'causes', seed: seed + i, brought: way, toneToNoiseDb, durationS };
    }),
  ),
  // Far from the others, so that no road is ridden twice.
  ...Array.from({ length: without }, (_, i): NoiseJob => {
    const own = 500_000 + seed + i;
    return { table: 'no tone', seed: own, brought: 'wheel and ride', toneToNoiseDb: 0, durationS };
  }),
];

const started = performance.now();
const { scores, failures } = await scoreAll(jobs, Number(values.workers));
const minutes = (performance.now() - started) / 60_000;
console.log(
  `${scores.length} invented recordings of ${durationS} s in ${minutes.toFixed(1)} min, seed ${seed}, ` +
    `tone to noise ${values.db} dB, estimator ${values.estimator}, Node ${process.versions.node}.\n`,
);
printNoise(scores, values.wrong);
if (Number(values.ceiling) > 0 && rides > 0) printCeiling(ceiling(Number(values.ceiling), seed));
for (const failure of failures) console.error(`FAILED ${failure}`);
if (failures.length > 0) process.exit(1);

/** Hands the jobs to the threads one at a time and says on the error channel how far it is. */
async function scoreAll(
  all: NoiseJob[],
  threads: number,
): Promise<{ scores: NoiseScore[]; failures: string[] }> {
  const scored: (NoiseScore | undefined)[] = [];
  const failed: string[] = [];
  let next = 0;
  let done = 0;
  const estimator = new URL(`./noise-${values.estimator}.ts`, import.meta.url).href;
  const file = new URL('./noise-worker.ts', import.meta.url);
  await Promise.all(
    Array.from(
      { length: Math.max(1, threads) },
      () =>
        new Promise<void>((resolve, reject) => {
          const worker = new Worker(file, { workerData: { estimator } });
          let mine = 0;
          const give = (): void => {
            mine = next;
            if (next < all.length) worker.postMessage(all[next++]);
            else void worker.terminate().then(() => resolve());
          };
          worker.on('error', reject);
          worker.on('message', ({ score, failure }: { score?: NoiseScore; failure?: string }) => {
            scored[mine] = score;
            if (failure) failed.push(failure);
            if (++done % 20 === 0 || done === all.length) {
              console.error(`${done} of ${all.length}`);
            }
            give();
          });
          give();
        }),
    ),
  );
  return { scores: scored.filter((one) => one !== undefined), failures: failed };
}
