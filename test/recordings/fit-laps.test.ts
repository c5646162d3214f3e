import assert from 'node:assert/strict';
import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { test } from 'node:test';
import { LapbenchError } from '../../src/core/units/index.ts';
import { readRecording, writeFit } from '../../src/recordings/index.ts';
import { codes, fitLaps, joined, seconds, smallFit, startEpochS } from './rides.ts';

const read = (bytes: Uint8Array) => readRecording(bytes, 'run.fit');

/** A ride of ten minutes whose own single lap covers nothing, so that only added laps can overlap. */
const ride = (): Uint8Array => {
  const timeS = seconds(600);
  const channels = { speedMps: timeS.map(() => 10), powerW: timeS.map(() => 250) };
  return writeFit({ startEpochS, timeS, channels, lapMarksS: [1] });
};

test('laps that follow one another, to the whole second of the FIT clock, do not overlap', () => {
  const recording = read(smallFit(600, { lapMarksS: [119.6, 240.49, 361.2] }));
  assert.deepEqual(recording.warnings, []);
});

test('two laps that claim the same minute are named with the time they share', () => {
  const laps = fitLaps([
    { fromS: 600, lengthS: 200 },
    { fromS: 740, lengthS: 200 },
    { fromS: 940, lengthS: 100 },
  ]);
  const recording = read(joined(ride(), laps));
  assert.deepEqual(codes(recording), ['laps-overlap']);
  const [warning] = recording.warnings;
  // The ride itself brings laps 1 and 2.
  assert.match(warning.message, /laps 3 and 4 by 60 s\./);
  assert.equal(warning.place?.lap, 4);
  assert.equal(warning.file, 'run.fit');
  assert.ok(warning.remedy);
});

test('a lap for the whole ride beside the laps proper overlaps each of them', () => {
  const laps = fitLaps([
    { fromS: 700, lengthS: 900 },
    ...Array.from({ length: 9 }, (_, i) => ({ fromS: 700 + 100 * i, lengthS: 100 })),
  ]);
  const [warning] = read(joined(ride(), laps)).warnings;
  assert.equal(warning.code, 'laps-overlap');
  assert.match(warning.message, /laps 3 and 4 by 100 s; 3 and 5 by 100 s; .*; 4 more pairs\./);
});

test('laps written in the wrong order but lying side by side do not overlap', () => {
  const laps = fitLaps([
    { fromS: 900, lengthS: 100 },
    { fromS: 700, lengthS: 100 },
    { fromS: 800, lengthS: 100 },
  ]);
  assert.deepEqual(codes(read(joined(ride(), laps))), []);
});

const strangers = '/work/shared/recordings';
test(
  "strangers' real FIT files as devices wrote them have no overlapping laps",
  { skip: existsSync(strangers) ? false : 'no real recordings here' },
  () => {
    let files = 0;
    for (const name of readdirSync(strangers).filter((one) => one.endsWith('.fit'))) {
      try {
        const { warnings } = read(readFileSync(`${strangers}/${name}`));
        files++;
        assert.deepEqual(
          warnings.filter(({ code }) => code === 'laps-overlap'),
          [],
        );
      } catch (error) {
        if (!(error instanceof LapbenchError)) throw error;
      }
    }
    assert.ok(files > 0);
  },
);
