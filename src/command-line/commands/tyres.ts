import { describeTyres, readBenchFile, reduceTyres } from '../../application/index.ts';
import { fromHere, type Io } from '../io.ts';

/** `lapbench tyres tyres.yaml`: nothing is stored. */
export function tyres(io: Io, sheet: string, options: { json?: boolean }): void {
  const finding = reduceTyres(readBenchFile(fromHere(io, sheet), sheet));
  io.out(options.json ? `${JSON.stringify(finding, null, 2)}\n` : describeTyres(finding));
}
