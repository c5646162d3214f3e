import {
  describeDescent,
  filesBeside,
  readBenchFile,
  reduceDescent,
} from '../../application/index.ts';
import { fromHere, type Io } from '../io.ts';

/** `lapbench descent descent.yaml`: nothing is stored. */
export function descent(io: Io, sheet: string, options: { json?: boolean }): void {
  const location = fromHere(io, sheet);
  const finding = reduceDescent(readBenchFile(location, sheet), filesBeside(location));
  io.out(options.json ? `${JSON.stringify(finding, null, 2)}\n` : describeDescent(finding));
}
