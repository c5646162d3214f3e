/**
 * A program that writes to a library without end and prints each step once it is acknowledged.
 * Started by the crash and concurrency tests: `writer.ts FILE NAME [STEPS]`.
 */
import { writeSync } from 'node:fs';
import { openLibrary } from '../../src/library/index.ts';
import { benchItem, bytesOf, findingOf, sheetOf } from './sample.ts';

const [file, name, steps = 'Infinity'] = process.argv.slice(2);
let ids = 0;
const library = openLibrary(file, {
  now: () => new Date().toISOString(),
  newId: () => `${name}-${++ids}`,
});
// Straight to the pipe: a buffered line could be lost with the process and hide a lost write.
const acknowledge = (...parts: (string | number)[]): void =>
  void writeSync(1, `${parts.join(' ')}\n`);

acknowledge('open');
for (let step = 1; step <= Number(steps); step++) {
  // Larger than SQLite's cache, so that a kill mostly falls among half-written pages.
  const bytes = bytesOf(`${name} ${step} `.repeat(1 + (step % 4) * 150_000));
  const id = library.createDay({
    sheet: sheetOf(`first ${step}`),
    recordings: [{ file: 'a.fit', bytes }],
  });
  acknowledge('day', id, `first ${step}`);
  library.addRecording(id, 'b.fit', bytesOf(`${name} b ${step}`), sheetOf(`second ${step}`));
  acknowledge('day', id, `second ${step}`);
  const inputs = library
    .getDay(id)!
    .recordings.map((held) => ({ file: held.file, sha256: held.sha256 }));
  library.putFinding(id, findingOf(`title: second ${step}\n`, inputs, step));
  acknowledge('finding', id, step);
  const item = library.benchItems.create({ ...benchItem, title: `first ${step}` });
  acknowledge('bench', item, `first ${step}`);
  library.benchItems.update(item, {
    title: `second ${step}`,
    input: '1,0,load,30,0.4\n'.repeat(step),
  });
  acknowledge('bench', item, `second ${step}`);
  if (step % 3 === 0) {
    library.removeDay(id);
    acknowledge('removed', id);
  }
  if (step % 6 === 0) {
    library.purgeDay(id);
    acknowledge('purged', id);
  }
}
library.close();
