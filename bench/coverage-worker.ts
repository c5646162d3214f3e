import { parentPort } from 'node:worker_threads';
import { scoreDay } from './coverage-day.ts';
import type { DayJob } from './coverage-conditions.ts';

parentPort?.on('message', (job: DayJob) => {
  try {
    parentPort?.postMessage({ score: scoreDay(job) });
  } catch (error) {
    const text = error instanceof Error ? (error.stack ?? error.message) : String(error);
    parentPort?.postMessage({ failure: `${job.row}, seed ${job.seed}: ${text}` });
  }
});
