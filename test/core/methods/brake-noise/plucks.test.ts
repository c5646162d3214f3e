import assert from 'node:assert/strict';
import test from 'node:test';
import {
  beamTensionN,
  spokeBeam,
  wheelMechanics,
  clampedEnds,
  pinnedEnds,
} from '../../../../src/core/structure/index.ts';
import { near } from '../../../near.ts';
import { crossedWheel, find, pluck } from './howls.ts';

const session = (count: number, more: { spokes?: number[]; taps?: number[] } = {}) => ({
  file: 'plucks.wav',
  brakeTorqueNm: 0,
  spokes: more.spokes ?? null,
  plucks: Array.from({ length: count }, (_, i) =>
    pluck(2 * i, 400 + i, more.taps?.includes(i) ? 0.1 : 0.9),
  ),
});

test('plucks are laid on the spokes in the order plucked', () => {
  const { plucks } = find({ wheel: crossedWheel(), sessions: [session(32)] });
  assert.deepEqual(
    plucks.map(({ spoke }) => spoke),
    Array.from({ length: 32 }, (_, i) => i + 1),
  );
  assert.ok(plucks.every(({ used }) => used));
});

test('a tap among the plucks takes no spoke', () => {
  const { plucks, warnings } = find({
    wheel: crossedWheel(),
    sessions: [session(33, { taps: [5] })],
  });
  assert.equal(plucks[5].spoke, null);
  assert.equal(plucks[5].used, false);
  assert.match(plucks[5].reason!, /tap/);
  assert.equal(plucks[6].spoke, 6);
  assert.ok(!warnings.some(({ code }) => code === 'plucks-unusable'));
});

test('31 plucks for 32 spokes: none is used, and that is said', () => {
  const { plucks, warnings } = find({ wheel: crossedWheel(), sessions: [session(31)] });
  assert.ok(plucks.every(({ used, spoke }) => !used && spoke === null));
  const [warning] = warnings.filter(({ code }) => code === 'plucks-unusable');
  assert.match(warning.message, /31 plucks .* 32 spokes/);
});

test('spokes named are those plucked', () => {
  const { plucks } = find({
    wheel: crossedWheel(),
    sessions: [session(3, { spokes: [7, 3, 21] })],
  });
  assert.deepEqual(
    plucks.map(({ spoke }) => spoke),
    [7, 3, 21],
  );
});

test('only taps: said, with what to do', () => {
  const { warnings, curves } = find({ sessions: [session(4, { taps: [0, 1, 2, 3] })] });
  const [warning] = warnings.filter(({ code }) => code === 'plucks-unusable');
  assert.match(warning.message, /taps and knocks/);
  assert.equal(curves.length, 0);
});

test('a pluck’s tension lies between that of clamped and that of pinned ends', () => {
  const wheel = crossedWheel();
  const [first] = find({ wheel, sessions: [session(32)] }).plucks;
  const place = wheelMechanics(wheel).spokes.find(({ spoke }) => spoke === 1)!;
  const beam = spokeBeam(wheel.spokes[place.side], place.lengthM);
  near(
    first.tensionCi95!,
    [beamTensionN(beam, 400, clampedEnds)!, beamTensionN(beam, 400, pinnedEnds)!],
    {
      rel: 1e-9,
      why: 'same equation',
    },
  );
  assert.ok(first.tensionN! > first.tensionCi95![0] && first.tensionN! < first.tensionCi95![1]);
});
