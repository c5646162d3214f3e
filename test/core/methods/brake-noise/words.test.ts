import assert from 'node:assert/strict';
import test from 'node:test';
import { LapbenchError } from '../../../../src/core/units/index.ts';
import { callsAmong } from '../../../../src/core/methods/brake-noise/calls.ts';
import { crossedWheel, evidence, find, howl, pluck, rideDown, tone } from './howls.ts';

const levels = evidence().sound;
const codes = (finding: ReturnType<typeof find>): string[] =>
  finding.warnings.map(({ code }) => code);

test('no tones: nothing is explained, and that is said', () => {
  const finding = find({ wheel: crossedWheel() });
  assert.deepEqual(finding.explanations, []);
  assert.deepEqual(finding.suggestions, []);
  assert.deepEqual(codes(finding), ['tones-none']);
});

test('a good recording with tones carries no warning', () => {
  assert.deepEqual(codes(find({ tracks: howl(() => 1000) })), []);
});

test('silence, quiet, clipping and shortness are said', () => {
  const tracks = howl(() => 1000);
  assert.deepEqual(codes(find({ tracks, sound: { ...levels, silentShare: 1 } })), ['sound-silent']);
  assert.deepEqual(codes(find({ tracks, sound: { ...levels, rmsDbfs: -80 } })), ['sound-silent']);
  assert.deepEqual(codes(find({ tracks, sound: { ...levels, durationS: 1 } })), ['sound-short']);
  const clipped = find({ tracks, sound: { ...levels, clippedShare: 0.0123, clippedAtS: [7] } });
  assert.deepEqual(codes(clipped), ['sound-clipped']);
  assert.match(clipped.warnings[0].message, /^1\.2 % of the samples are clipped/);
  assert.deepEqual(clipped.warnings[0].place, { timeS: 7 });
});

test('a torque that is none is refused', () => {
  for (const brakeTorqueNm of [0, -5, 501, NaN])
    assert.throws(
      () => find({ brakeTorqueNm }),
      (error) => error instanceof LapbenchError && error.problems[0].code === 'value-invalid',
    );
});

test('sound alone: the words say what is not known', () => {
  const { explanations, brakeTorqueNm } = find({ tracks: howl(() => 620) });
  const why = (id: string) => explanations.find((one) => one.id === id)!.why;
  assert.match(why('spokes-losing-disc-side'), /Without plucks or a wheel sheet nothing is known/);
  assert.match(why('turning-with-the-wheel'), /cannot be told without a ride recording/);
  assert.match(brakeTorqueNm!.basis, /not told/);
});

test('every explanation ends its sentences, names no bare number without unit, and no place beyond what is known', () => {
  const finding = find({
    wheel: crossedWheel(),
    wheelSpeed: rideDown(),
    brakeTorqueNm: 40,
    tracks: howl((torque) => 400 - 10 * torque),
  });
  for (const { why } of finding.explanations) {
    assert.match(why, /\.$/);
    assert.doesNotMatch(why, /NaN|undefined|null|Infinity|  |e\+/);
    // Pitches computed to 5 % are said to ten hertz; none has decimals.
    assert.doesNotMatch(why, /\d\.\d+ Hz/);
  }
  const spokes = finding.explanations.find(({ predictedHz }) => predictedHz.length > 0);
  if (spokes) assert.match(spokes.why, /at about \d+0 Hz under some \d+(\.\d)? N m/);
});

test('suggestions follow the likely causes, say what to expect, and none is said twice', () => {
  // Halfway between chatter and squeal: both are likely, and want the same pads changed.
  const finding = find({ tracks: howl(() => 720) });
  const likely = finding.explanations.filter(({ odds }) => odds >= 0.15);
  assert.ok(likely.filter(({ id }) => id.startsWith('brake-unit')).length === 2);
  for (const one of finding.suggestions) {
    assert.ok(finding.explanations.find(({ id }) => id === one.for)!.odds >= 0.15);
    assert.match(one.expect, /\.$/);
  }
  const said = finding.suggestions.map(({ change, expect }) => change + expect);
  assert.equal(new Set(said).size, said.length);
  assert.ok(finding.cautions.some((line) => line.includes('qualified mechanic')));
});

test('three harmonics of one deep note that glide together are a voice, and not weighed', () => {
  const voice = [2, 3, 5].map((n) => tone(20, 21.2, (t) => n * 200 * Math.exp(0.15 * (t - 20))));
  const finding = find({ wheelSpeed: rideDown(), tracks: [...howl(() => 1000), ...voice] });
  const none = finding.explanations.find(({ id }) => id === 'none-of-these')!;
  assert.match(none.why, /glide together like a voice or a horn and are not weighed/);
  for (const { tones } of finding.explanations)
    for (const number of tones) assert.ok(Math.abs(finding.tones[number - 1].hz - 1000) < 5);
  assert.equal(finding.explanations[0].id, 'brake-unit-squeal');
});

test('a steady howl with its harmonics is no voice', () => {
  const tracks = [1, 2, 3].map((n) => tone(4, 6, () => n * 240));
  assert.equal(callsAmong(find({ tracks }).tones).size, 0);
});

test('what passes is named by its count', () => {
  const { tones } = find({
    wheelSpeed: rideDown(),
    passing: [{ name: 'rotor slots', count: 36 }],
    tracks: [
      tone(5, 7.8, (t) => {
        const { wheelHz } = rideDown();
        return 36 * (wheelHz[5] + ((t - 5) / 2) * (wheelHz[7] - wheelHz[5]));
      }),
    ],
  });
  if (tones[0].followsWheel) assert.equal(tones[0].orderName, 'rotor slots');
  else assert.equal(tones[0].order, null);
});

test('a spoke plucked once is held at its pitch in the words', () => {
  const { explanations } = find({
    sessions: [{ file: 'p.wav', brakeTorqueNm: 0, spokes: [9], plucks: [pluck(0, 640)] }],
    tracks: howl(() => 630),
  });
  const spokes = explanations.find(({ predictedHz }) => predictedHz.length > 0)!;
  assert.match(spokes.why, /^Spoke 9 would sound at 6\d\d Hz .*640 Hz without torque/);
});
