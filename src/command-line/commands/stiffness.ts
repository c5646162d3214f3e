import {
  describeStiffness,
  LapbenchError,
  readBenchFile,
  reduceStiffness,
} from '../../application/index.ts';
import { fromHere, type Io } from '../io.ts';
import { numberOption } from '../number-option.ts';

export interface StiffnessOptions {
  preload: string;
  load: string;
  loadUnit?: string;
  json?: boolean;
}

/** `lapbench stiffness readings.csv --preload 30 --load 196.1`: nothing is stored. */
export function stiffness(io: Io, readings: string, options: StiffnessOptions): void {
  const finding = reduceStiffness(readBenchFile(fromHere(io, readings), readings), {
    preloadN: numberOption('--preload', options.preload, { least: 0, unit: 'newtons' }),
    loadN: numberOption('--load', options.load, { above: 0, unit: 'newtons' }),
    loadUnit: loadUnitOf(options.loadUnit),
  });
  io.out(options.json ? `${JSON.stringify(finding, null, 2)}\n` : describeStiffness(finding));
}

function loadUnitOf(given: string | undefined): 'N' | 'kg' | null {
  if (given === undefined) return null;
  if (given === 'kg') return 'kg';
  if (given.toUpperCase() === 'N') return 'N';
  throw new LapbenchError({
    code: 'usage',
    message: `--load-unit is ${JSON.stringify(given)}.`,
    remedy: 'Write --load-unit N or --load-unit kg.',
  });
}
