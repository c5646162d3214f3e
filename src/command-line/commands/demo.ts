import fs from 'node:fs';
import path from 'node:path';
import {
  demoBenchFiles,
  demoDay,
  demoNoiseFiles,
  LapbenchError,
  makeFolder,
} from '../../application/index.ts';
import { fromHere, type Io } from '../io.ts';

/** `lapbench demo FOLDER`: writes the demo day's files; touches no file that is there already. */
export async function demo(io: Io, folder: string): Promise<void> {
  const target = fromHere(io, folder);
  const day = await demoDay();
  const files: [string, string | Uint8Array][] = [
    ['day.yaml', day.sheet],
    ...day.files.map((one): [string, Uint8Array] => [one.file, one.bytes]),
    ...(await demoBenchFiles()).map((one): [string, string] => [one.file, one.text]),
    ...(await demoNoiseFiles()).map((one): [string, Uint8Array] => [one.file, one.bytes]),
  ];
  const inTheWay = files.filter(([name]) => fs.existsSync(path.join(target, name)));
  if (inTheWay.length > 0) {
    throw new LapbenchError({
      code: 'usage',
      file: path.join(folder, inTheWay[0][0]),
      message: 'This file exists already and is left as it is.',
      remedy: 'Name an empty or new folder.',
    });
  }
  try {
    await makeFolder(target);
    for (const [name, content] of files) {
      fs.writeFileSync(path.join(target, name), content, { flag: 'wx' });
    }
  } catch (error) {
    throw new LapbenchError({
      code: 'usage',
      file: folder,
      message: `The demo day could not be written here (${(error as NodeJS.ErrnoException).code}).`,
      remedy: 'Name a folder that may be written to.',
    });
  }
  io.out(
    `Wrote the invented demo day, ${files.length} files, to ${folder}.\n` +
      `Next: lapbench drag ${path.join(folder, 'day.yaml')}\n` +
      `  or:  lapbench stiffness ${path.join(folder, 'readings.csv')}\n` +
      `  or:  lapbench noise ${path.join(folder, 'howl.wav')} --wheel ${path.join(folder, 'howl-wheel.yaml')}\n`,
  );
}
