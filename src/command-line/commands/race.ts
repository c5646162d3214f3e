import { describeRace, filesBeside, readBenchFile, reduceRace } from '../../application/index.ts';
import { fromHere, type Io } from '../io.ts';

/** `lapbench race race.yaml`: nothing is stored. */
export function race(io: Io, sheet: string, options: { json?: boolean }): void {
  const location = fromHere(io, sheet);
  const finding = reduceRace(readBenchFile(location, sheet), filesBeside(location));
  io.out(options.json ? `${JSON.stringify(finding, null, 2)}\n` : describeRace(finding));
}
