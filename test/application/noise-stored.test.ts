/** Sounds in a library: brought in by pieces, analysed, tied to a wheel, a ride and plucks, made anew when those change. */
import assert from 'node:assert/strict';
import path from 'node:path';
import test, { type TestContext } from 'node:test';
import {
  openLibraryDays,
  type LibraryDays,
  type NoiseSoundView,
  type PluckSoundView,
  type SoundEvent,
} from '../../src/application/index.ts';
import { LapbenchError } from '../../src/core/units/index.ts';
import { loadSqlite } from '../../src/library/sqlite.ts';
import { near } from '../near.ts';
import { folderOf, wheelSheet } from './bench-sample.ts';
import { strokes, toneInNoise, wavOf } from './sound-sample.ts';

const refusedAs = (code: string) => (error: unknown) =>
  error instanceof LapbenchError && error.problems[0].code === code;

async function opened(
  t: TestContext,
  folder = folderOf(t),
  { thread = false } = {},
): Promise<LibraryDays> {
  const library = await openLibraryDays(path.join(folder, 'test.lapbench'), { thread });
  t.after(() => library.close());
  return library;
}

function sent({ sounds }: LibraryDays, file: string, bytes: Uint8Array): string {
  const { upload } = sounds.beginUpload(file, bytes.length);
  const half = Math.floor(bytes.length / 2);
  sounds.addPiece(upload, 0, bytes.subarray(0, half));
  sounds.addPiece(upload, half, bytes.subarray(half));
  return upload;
}

const howl = wavOf(toneInNoise({ seconds: 6, hz: 640 }));

async function madeNoise(library: LibraryDays, options = {}): Promise<string> {
  const upload = sent(library, 'descent.wav', howl);
  const id = await library.sounds.create({ kind: 'noise', upload, options });
  await library.sounds.settled(id);
  return id;
}

async function madePlucks(library: LibraryDays, pitches: (number | null)[], options = {}) {
  const upload = sent(library, 'plucks.wav', wavOf(strokes(pitches)));
  const id = await library.sounds.create({ kind: 'plucks', upload, options });
  await library.sounds.settled(id);
  return id;
}

const noiseView = async ({ sounds }: LibraryDays, id: string) =>
  (await sounds.view(id)) as NoiseSoundView;
const pluckView = async ({ sounds }: LibraryDays, id: string) =>
  (await sounds.view(id)) as PluckSoundView;

test('a sound that came in pieces is analysed, listed, and there after closing and opening', async (t) => {
  const folder = folderOf(t);
  const first = await opened(t, folder);
  const id = await madeNoise(first);
  // Lists have its sentence before anybody looks at it.
  assert.match(first.sounds.list()[0].headline, /first comes|Most likely/);
  const view = await noiseView(first, id);
  assert.equal(view.state, 'ready');
  assert.equal(view.title, 'descent');
  near(view.durationS!, 6, { rel: 1e-9, why: '96,000 samples at 16 kHz' });
  near(view.finding!.tones[0].hz, 640, { abs: 0.1, why: 'the tone put in' });
  assert.equal(view.finding!.sound.file, 'descent.wav');
  assert.match(first.sounds.list()[0].headline, /first comes|Most likely/);
  await first.close();
  const again = await opened(t, folder);
  // Nothing is computed a second time, and nothing is lost on the way through the file.
  assert.deepEqual(
    JSON.parse(JSON.stringify(await again.sounds.view(id))),
    JSON.parse(JSON.stringify(view)),
  );
  const { columns, rows, levels } = again.sounds.overview(id);
  assert.equal(Buffer.from(levels, 'base64').length, columns * rows);
  assert.deepEqual(again.verify().problems, []);
  assert.equal(again.verify().sounds, 1);
});

test('a piece sent twice changes nothing; a gap, too much, and an unknown upload are refused', async (t) => {
  const { sounds } = await opened(t);
  const { upload } = sounds.beginUpload('a.wav', 100);
  assert.equal(sounds.addPiece(upload, 0, new Uint8Array(60)).received, 60);
  assert.equal(sounds.addPiece(upload, 0, new Uint8Array(60)).received, 60);
  assert.equal(sounds.addPiece(upload, 50, new Uint8Array(20)).received, 70);
  assert.throws(() => sounds.addPiece(upload, 71, new Uint8Array(5)), refusedAs('upload-offset'));
  assert.throws(() => sounds.addPiece(upload, 70, new Uint8Array(31)), refusedAs('upload-offset'));
  await assert.rejects(sounds.create({ kind: 'noise', upload }), refusedAs('upload-offset'));
  assert.equal(sounds.upload(upload).received, 70);
  sounds.dropUpload(upload);
  assert.throws(() => sounds.upload(upload), refusedAs('upload-unknown'));
});

test('what is no sound is refused when it is to become one, and leaves nothing behind', async (t) => {
  const library = await opened(t);
  const upload = sent(library, 'a.wav', new TextEncoder().encode('Dear diary, it howled.'));
  await assert.rejects(
    library.sounds.create({ kind: 'noise', upload }),
    refusedAs('format-unknown'),
  );
  assert.throws(() => library.sounds.upload(upload), refusedAs('upload-unknown'));
  assert.deepEqual(library.sounds.list(), []);
  assert.throws(() => library.sounds.beginUpload('a.wav', 0), refusedAs('file-empty'));
  assert.throws(() => library.sounds.beginUpload('a.wav', 9e12), refusedAs('file-too-large'));
});

test('the finding follows the wheel sheet, and says when the sheet is gone', async (t) => {
  const library = await opened(t);
  const wheel = library.bench.create({ kind: 'wheel', title: 'Front', input: wheelSheet });
  const id = await madeNoise(library, { wheel });
  const before = await noiseView(library, id);
  assert.ok(before.finding!.curves.length > 0);
  const firstHz = before.finding!.curves[0].hz[0];
  library.bench.update(wheel, {
    edits: [{ op: 'set', path: 'spokes.left.meanTensionN', value: 500 }],
  });
  const after = await noiseView(library, id);
  assert.notEqual(after.finding!.curves[0].hz[0], firstHz);
  // Making it anew is no change of the sound.
  assert.equal(after.changedAt, before.changedAt);
  library.bench.remove(wheel);
  const without = await noiseView(library, id);
  assert.equal(without.finding!.wheel, null);
  assert.equal(without.problems[0].place?.field, 'options.wheel');
  await assert.rejects(
    library.sounds.update(id, { options: { wheel: 'nowhere' } }),
    refusedAs('usage'),
  );
});

test('plucks are laid on spokes; one done again is left out; a lever gives the torque', async (t) => {
  const library = await opened(t);
  const id = await madePlucks(library, [400, 405, null, 350]);
  const all = await pluckView(library, id);
  assert.deepEqual(
    all.finding!.heard.map(({ spoke, used }) => [spoke, used]),
    [
      [1, true],
      [2, true],
      [null, false],
      [3, true],
    ],
  );
  assert.match(all.headline, /3 of 4 plucks used/);
  const { sounds } = library;
  const options = {
    leaveOut: [1],
    spokes: [7, 9],
    lever: { massKg: 8, lengthM: 0.4 },
  };
  await sounds.update(id, { options });
  const again = await pluckView(library, id);
  assert.deepEqual(
    again.finding!.heard.map(({ spoke, reason }) => [spoke, reason?.slice(0, 8) ?? null]),
    [
      [null, 'Left out'],
      [7, null],
      [null, again.finding!.heard[2].reason!.slice(0, 8)],
      [9, null],
    ],
  );
  // 8 kg · 9.80665 m/s² · 0.4 m (standard gravity: CGPM 1901).
  near(again.finding!.brakeTorqueNm, 31.38128, { rel: 1e-9, why: 'weight times lever' });
});

test('a howl uses the plucks that belong to it, and says when they are gone', async (t) => {
  const library = await opened(t);
  const plucks = await madePlucks(library, [640, 350]);
  const id = await madeNoise(library, { plucks: [plucks] });
  const events: SoundEvent[] = [];
  t.after(library.sounds.listen(id, (event) => events.push(event)));
  const view = await noiseView(library, id);
  assert.deepEqual(
    view.finding!.plucks.map(({ spoke }) => spoke),
    [1, 2],
  );
  await library.sounds.update(plucks, { options: { spokes: [5, 6] } });
  assert.ok(events.some(({ name }) => name === 'ready'));
  assert.deepEqual(
    (await noiseView(library, id)).finding!.plucks.map(({ spoke }) => spoke),
    [5, 6],
  );
  library.sounds.remove(plucks);
  const without = await noiseView(library, id);
  assert.deepEqual(without.finding!.plucks, []);
  assert.equal(without.problems[0].place?.field, 'options.plucks');
  await assert.rejects(library.sounds.update(plucks, { title: 'x' }), refusedAs('sound-removed'));
  library.sounds.restore(plucks);
  assert.equal((await noiseView(library, id)).finding!.plucks.length, 2);
});

test('a ride comes in the same way, stays with its sound, and tells the speed', async (t) => {
  const library = await opened(t);
  const rows = Array.from({ length: 60 }, (_, s) => `${s},${6 + s / 10}`);
  const csv = new TextEncoder().encode(`time_s,speed_mps\n${rows.join('\n')}\n`);
  const ride = { upload: sent(library, 'ride.csv', csv), file: 'ride.csv' };
  const id = await madeNoise(library, { ride, startS: 20 });
  const { finding } = await noiseView(library, id);
  assert.deepEqual(finding!.alignment, { offsetS: 20, how: 'told', uncertaintyS: 1 });
  assert.equal(finding!.tones[0].followsWheel, false);
  // A sound rests on it, so it cannot be forgotten.
  library.sounds.dropUpload(ride.upload);
  assert.equal(library.sounds.upload(ride.upload).received, csv.length);
  const text = { upload: sent(library, 'x.csv', new Uint8Array([65, 66])), file: 'x.csv' };
  await assert.rejects(library.sounds.update(id, { options: { ride: text } }), LapbenchError);
});

test('an analysis can be stopped and begun again; a picture before it is refused', async (t) => {
  const library = await opened(t);
  const long = wavOf(toneInNoise({ seconds: 240, rateHz: 16_000 }));
  const id = await library.sounds.create({ kind: 'noise', upload: sent(library, 'a.wav', long) });
  assert.equal((await library.sounds.view(id)).state, 'analysing');
  assert.throws(() => library.sounds.overview(id), refusedAs('analysis-stopped'));
  const stopped = await library.sounds.stop(id);
  assert.equal(stopped.state, 'stopped');
  // Looking at it does not begin it again: a person stopped it.
  assert.equal((await library.sounds.view(id)).state, 'stopped');
  assert.equal((await library.sounds.analyse(id)).state, 'analysing');
  await library.sounds.settled(id);
  assert.equal((await library.sounds.view(id)).state, 'ready');
});

test('another window’s change is not written over, and options out of range are refused', async (t) => {
  const library = await opened(t);
  const id = await madeNoise(library);
  const { changedAt } = await library.sounds.view(id);
  await library.sounds.update(id, { title: 'Left bend' }, { ifChangedAt: changedAt });
  await assert.rejects(
    library.sounds.update(id, { title: 'Right bend' }, { ifChangedAt: changedAt }),
    refusedAs('sound-changed'),
  );
  const wrong = [
    { brakeTorqueNm: 5000 },
    { channel: 'left' },
    { plucks: ['none'] },
    { ride: { day: 'x' } },
    { colour: 'red' },
    { startS: 'noon' },
  ];
  for (const options of wrong) {
    await assert.rejects(
      library.sounds.update(id, { options }),
      refusedAs('usage'),
      JSON.stringify(options),
    );
  }
  assert.equal((await library.sounds.view(id)).title, 'Left bend');
});

test('a piece to play is what was recorded there', async (t) => {
  const library = await opened(t);
  const id = await madeNoise(library);
  const wav = await library.sounds.piece(id, 2, 2.5);
  assert.equal(wav.length, 44 + 2 * 8000);
  // 16 bits in, 16 bits out: the very samples.
  const from = 44 + 2 * 2 * 16_000;
  assert.deepEqual(wav.slice(44), howl.slice(from, from + 2 * 8000));
  await assert.rejects(library.sounds.piece(id, 3, 2), refusedAs('usage'));
  await assert.rejects(library.sounds.piece(id, 0, 61), refusedAs('usage'));
  await assert.rejects(library.sounds.piece(id, 100, 101), refusedAs('usage'));
});

test('as a server has it, findings are made beside the thread that answers, and come out the same', async (t) => {
  const folder = folderOf(t);
  const beside = await opened(t, folder, { thread: true });
  const wheel = beside.bench.create({ kind: 'wheel', title: 'Front', input: wheelSheet });
  const plucks = await madePlucks(beside, [640, 350], { wheel });
  const id = await madeNoise(beside, { plucks: [plucks], wheel });
  // Two windows at once: made once, told to both.
  const [one, two] = await Promise.all([noiseView(beside, id), noiseView(beside, id)]);
  assert.deepEqual(one, two);
  const { finding } = await pluckView(beside, plucks);
  const here = await opened(t);
  const wheelHere = here.bench.create({ kind: 'wheel', title: 'Front', input: wheelSheet });
  const plucksHere = await madePlucks(here, [640, 350], { wheel: wheelHere });
  const idHere = await madeNoise(here, { plucks: [plucksHere], wheel: wheelHere });
  assert.deepEqual((await noiseView(here, idHere)).finding, one.finding);
  assert.deepEqual((await pluckView(here, plucksHere)).finding, finding);
});

test('a few plucks are heard without being stored', async (t) => {
  const { sounds } = await opened(t);
  const { plucks, levels } = await sounds.hear(wavOf(strokes([420])));
  near(plucks[0].partials[plucks[0].fundamental].hz, 420, { abs: 0.5, why: 'the pitch put in' });
  near(levels.durationS, 1.5, { rel: 1e-9, why: 'its length' });
  assert.deepEqual(sounds.list(), []);
});

test('a bit that turned in the library is found out', async (t) => {
  const folder = folderOf(t);
  const library = await opened(t, folder);
  await madeNoise(library);
  await library.close();
  const { DatabaseSync } = loadSqlite();
  const db = new DatabaseSync(path.join(folder, 'test.lapbench'));
  db.exec('UPDATE sound_pieces SET bytes = zeroblob(length(bytes)) WHERE start > 0');
  db.close();
  const { problems } = (await opened(t, folder)).verify();
  assert.equal(problems[0].code, 'sound-altered');
});

test('the demo brings its howl once: wheel, plucks free and under a weight, ride; its cause comes first', async (t) => {
  const library = await opened(t);
  await Promise.all([library.sounds.demo(), library.sounds.demo()]);
  const all = library.sounds.list();
  assert.deepEqual(all.map(({ kind }) => kind).sort(), ['noise', 'plucks', 'plucks']);
  assert.ok(all.every(({ title }) => /invented/.test(title)));
  for (const { id } of all) await library.sounds.settled(id);
  const howling = all.find(({ kind }) => kind === 'noise')!;
  const { finding, problems } = await noiseView(library, howling.id);
  assert.deepEqual(problems, []);
  assert.equal(finding!.explanations[0].id, 'spokes-losing-disc-side');
  assert.equal(finding!.alignment?.how, 'told');
  for (const { id } of all) library.sounds.remove(id);
  await library.sounds.demo();
  assert.deepEqual(library.sounds.list(), []);
});
