/** Reads and reduces the day in a folder, once, cold, and prints what it took as one line of JSON. */
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { reduceDaySheet } from '../src/application/reduce.ts';

const folder = process.argv[2];
const sheet = readFileSync(path.join(folder, 'day.yaml'), 'utf8');
const startedMs = performance.now();
let readMs = 0;
const finding = reduceDaySheet(sheet, 'day.yaml', (file) => {
  const from = performance.now();
  const bytes = readFileSync(path.join(folder, file));
  readMs += performance.now() - from;
  return bytes;
});
const wallMs = performance.now() - startedMs;
const usedLaps = finding.laps.filter(({ used }) => used).length;
process.stdout.write(
  `${JSON.stringify({
    wallMs,
    diskMs: readMs,
    peakRssMb: process.resourceUsage().maxRSS / 1024,
    laps: finding.laps.length,
    usedLaps,
  })}\n`,
);
