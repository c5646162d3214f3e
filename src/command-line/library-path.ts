/** Where the library is: as asked for, or one plain place in the person's own folder. */
import os from 'node:os';
import path from 'node:path';
import { fromHere, type At } from './io.ts';

/** `--library FILE`, or `LAPBENCH_LIBRARY`, or `lapbench/library.lapbench` in the home folder. */
export function libraryPath({ io, library }: At): string {
  const asked = library ?? io.env.LAPBENCH_LIBRARY;
  if (asked) return fromHere(io, asked);
  return path.join(os.homedir(), 'lapbench', 'library.lapbench');
}
