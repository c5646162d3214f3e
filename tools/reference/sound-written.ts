/**
 * Writes the sounds of test/sound/mix.test.ts into the folder that is named, to be read by other programs:
 *   node tools/reference/sound-written.ts /tmp/written
 *   python3 tools/reference/sound-written.py /tmp/written
 */
import fs from 'node:fs';
import path from 'node:path';
import { writeWav } from '../../src/sound/index.ts';

const folder = process.argv[2];
fs.mkdirSync(folder, { recursive: true });
const left = Array.from({ length: 101 }, (_, i) => Math.sin(i / 3) * 0.7);
const right = left.map((x, i) => (i % 2 ? x : -x / 2));
for (const encoding of ['pcm8', 'pcm16', 'pcm24', 'pcm32', 'float32', 'float64'] as const) {
  fs.writeFileSync(path.join(folder, `${encoding}.wav`), writeWav([left, right], 48_000, encoding));
}
