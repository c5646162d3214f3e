/**
 * A program that brings sound files into a library without end and prints each step once it is acknowledged. Started by
 * the crash test: `sound-writer.ts FILE`. Byte n of every file is n mod 251.
 */
import { createHash } from 'node:crypto';
import { writeSync } from 'node:fs';
import { openLibrary } from '../../src/library/index.ts';

const [file] = process.argv.slice(2);
let ids = 0;
const library = openLibrary(file, {
  now: () => new Date().toISOString(),
  newId: () => `sound-${++ids}`,
});
const acknowledge = (...parts: (string | number)[]): void =>
  void writeSync(1, `${parts.join(' ')}\n`);

const size = 3_000_000;
const whole = Uint8Array.from({ length: size }, (_, i) => i % 251);
const sha256 = createHash('sha256').update(whole).digest('hex');
acknowledge('open');
for (;;) {
  const id = library.soundFiles.begin('a.wav', size);
  for (let at = 0; at < size; at += 700_000) {
    const { received } = library.soundFiles.add(id, at, whole.subarray(at, at + 700_000));
    acknowledge('received', id, received);
  }
  library.soundFiles.seal(id, sha256);
  const sound = library.sounds.create({
    kind: 'noise',
    title: 'A',
    date: '2026-05-17',
    setup: '',
    options: {},
    fileId: id,
    rideId: null,
  });
  acknowledge('sound', sound);
  const ready = { state: 'ready', headline: 'Heard.', durationS: 1 } as const;
  library.sounds.putMade(sound, 'analysis', { key: 'k', data: { tracks: [] } }, ready);
  acknowledge('analysed', sound);
}
