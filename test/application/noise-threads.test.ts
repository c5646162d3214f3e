/** Sounds analysed in threads: cut in two and joined, stopped, read from a file or from anywhere. */
import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import test, { type TestContext } from 'node:test';
import { clippingMeter, worstClipping } from '../../src/application/channel-clipping.ts';
import { analyseSound } from '../../src/application/sound-analysis.ts';
import { soundFile } from '../../src/application/sound-file.ts';
import { SoundThreads } from '../../src/application/sound-threads.ts';
import { LapbenchError } from '../../src/core/units/index.ts';
import { bytesInMemory } from '../../src/sound/index.ts';
import { near } from '../near.ts';
import { folderOf } from './bench-sample.ts';
import { strokes, toneInNoise, wavOf } from './sound-sample.ts';

function threadsFor(t: TestContext): SoundThreads {
  const threads = new SoundThreads();
  t.after(() => threads.close());
  return threads;
}

const stopped = (error: unknown): boolean =>
  error instanceof LapbenchError && error.problems[0].code === 'analysis-stopped';

const rateHz = 8000;
/** Long enough to be cut in two. */
const minutes = wavOf(toneInNoise({ seconds: 300, rateHz, hz: 640, amplitude: 0.05 }), rateHz);

test('a long sound is cut in two and comes out as one, progress told to the end', async (t) => {
  const threads = threadsFor(t);
  const told: number[] = [];
  const analysed = await analyseSound(threads, bytesInMemory(minutes), 'a.wav', {
    onProgress: ({ fraction }) => told.push(fraction),
  });
  near(analysed.levels.durationS, 300, { rel: 1e-9, why: 'no sample counted twice or lost' });
  // The tone does not end at the seam.
  assert.equal(analysed.tracks.length, 1);
  near(analysed.tracks[0].hz, 640, { abs: 0.05, why: 'a steady tone' });
  assert.ok(analysed.tracks[0].endS - analysed.tracks[0].startS > 298);
  assert.ok(told.every((fraction) => fraction >= 0 && fraction <= 1));
  const { columns, columnS } = analysed.picture;
  near(columns * columnS, 300, { rel: 0.02, why: 'the picture covers the sound' });
});

test('each half is looked at where it lies: a tone that comes late is told late', async (t) => {
  const threads = threadsFor(t);
  const early = toneInNoise({ seconds: 100, rateHz, hz: 640, amplitude: 0.05 });
  const late = toneInNoise({ seconds: 200, rateHz, hz: 900, amplitude: 0.05 });
  const both = new Float32Array(300 * rateHz);
  both.set(early);
  both.set(late, 100 * rateHz);
  const { tracks } = await analyseSound(threads, bytesInMemory(wavOf(both, rateHz)), 'a.wav');
  assert.deepEqual(
    tracks.map(({ hz, startS, endS }) => [hz, startS, endS].map(Math.round)),
    [
      [640, 0, 100],
      [900, 100, 300],
    ],
  );
});

test('clipping of a channel: two samples at the limit are a flat top, one is a loud recording', () => {
  const meter = clippingMeter(1000, 2);
  const tops = Float32Array.of(0, 1, 0, 1, 1, 1, 0, -1, -1, 0.5);
  const quiet = new Float32Array(10);
  meter.push([tops, quiet], 5000, 0, Infinity);
  meter.push([tops, quiet], 5010, 0, 5013);
  assert.deepEqual(
    meter.channels.map(({ clippedSamples, countedSamples }) => [clippedSamples, countedSamples]),
    [
      [5, 13],
      [0, 13],
    ],
  );
  assert.deepEqual(meter.channels[0].atS, [5.004]);
  assert.equal(worstClipping([meter.channels, meter.channels])?.share, 10 / 26);
});

test('a file is read by the threads themselves, with the same outcome', async (t) => {
  const threads = threadsFor(t);
  const name = path.join(folderOf(t), 'a.wav');
  fs.writeFileSync(name, minutes);
  const [file, memory] = await Promise.all([
    analyseSound(threads, soundFile(name, 'a.wav'), 'a.wav'),
    analyseSound(threads, bytesInMemory(minutes), 'a.wav'),
  ]);
  assert.deepEqual(file, memory);
});

test('an analysis can be stopped, also one that waits, and the threads go on with others', async (t) => {
  const threads = threadsFor(t);
  const first = new AbortController();
  const second = new AbortController();
  const source = bytesInMemory(minutes);
  const outcomes = [first, second].map(({ signal }) =>
    analyseSound(threads, source, 'a.wav', { signal }),
  );
  const refusals = outcomes.map((outcome) => assert.rejects(outcome, stopped));
  await new Promise((resolve) => setTimeout(resolve, 150));
  second.abort();
  first.abort();
  await Promise.all(refusals);
  const after = await analyseSound(
    threads,
    bytesInMemory(wavOf(toneInNoise({ seconds: 3 }))),
    'b.wav',
  );
  assert.equal(after.tracks.length, 1);
});

test('a source that fails is said, and does not hang the threads', async (t) => {
  const threads = threadsFor(t);
  const broken = {
    sizeBytes: minutes.length,
    read: (offset: number, length: number) =>
      offset > 1_000_000
        ? Promise.reject(new Error('the disk is gone'))
        : Promise.resolve(minutes.slice(offset, offset + length)),
  };
  await assert.rejects(analyseSound(threads, broken, 'a.wav'), /the disk is gone/);
});

test('a picture of a second shows the tone in its row and nothing beside it', async (t) => {
  const threads = threadsFor(t);
  const job = { kind: 'detail', channel: 'mix', fromS: 1, toS: 2 } as const;
  const wav = wavOf(toneInNoise({ seconds: 4, hz: 640, amplitude: 0.2, noise: 0.0001 }));
  const { picture } = await threads.run(job, bytesInMemory(wav), 'a.wav');
  const levels = Buffer.from(picture.levels, 'base64');
  assert.equal(levels.length, picture.columns * picture.rows);
  assert.equal(picture.edgesHz.length, picture.rows + 1);
  near(picture.columns * picture.columnS, 1, { rel: 1e-9, why: 'a second was asked for' });
  const column = levels.subarray(10 * picture.rows, 11 * picture.rows);
  const loudest = column.indexOf(Math.max(...column));
  const widthHz = picture.edgesHz[loudest + 1] - picture.edgesHz[loudest];
  near((picture.edgesHz[loudest] + picture.edgesHz[loudest + 1]) / 2, 640, {
    abs: widthHz,
    why: 'the row of the tone',
  });
  // 20 log10(0.2/√2) = −17.0 dB; between two bins a Hann window loses up to 1.4 dB.
  near(column[loudest] / 2 - 127.5, -17, { abs: 1.6, why: 'level of the tone' });
});

test('plucks are counted, and a recording too long to hold is refused', async (t) => {
  const threads = threadsFor(t);
  const job = { kind: 'plucks', channel: 'mix' } as const;
  const wav = wavOf(strokes([400, null, 350]));
  const { plucks } = await threads.run(job, bytesInMemory(wav), 'p.wav', { quick: true });
  assert.deepEqual(
    plucks.map(({ ringing }) => ringing > 0.5),
    [true, false, true],
  );
  const long = wavOf(new Float32Array(8000 * 920), 8000);
  await assert.rejects(
    threads.run(job, bytesInMemory(long), 'p.wav'),
    (error) => error instanceof LapbenchError && /15 minutes/.test(error.message),
  );
});
