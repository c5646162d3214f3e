import { parentPort, workerData } from 'node:worker_threads';
import type { NoiseEstimator, NoiseJob } from './noise-case.ts';
import { scoreJob } from './noise-score.ts';

const { estimator } = workerData as { estimator: string };
const { estimate } = (await import(estimator)) as { estimate: NoiseEstimator };

parentPort?.on('message', (job: NoiseJob) => {
  try {
    parentPort?.postMessage({ score: scoreJob(job, estimate) });
  } catch (error) {
    const text = error instanceof Error ? (error.stack ?? error.message) : String(error);
    parentPort?.postMessage({ failure: `${job.table}, seed ${job.seed}: ${text}` });
  }
});
