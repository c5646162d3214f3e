/** Which tones follow the wheel. All rides are invented. */
import assert from 'node:assert/strict';
import test from 'node:test';
import { alignClock, followSpeed } from '../../../src/core/signal/index.ts';
import { near } from '../../near.ts';
import { gaussian } from './sounds.ts';

/** A descent: 4 to 8 turns a second over two minutes, at 1 Hz, with the noise of a speed sensor. */
function ride(seed: number): { timeS: number[]; wheelHz: number[]; at: (t: number) => number } {
  const normal = gaussian(seed);
  const at = (t: number): number => 6 + 1.6 * Math.sin(t / 9) + 0.4 * Math.sin(t / 3.1);
  const timeS = Array.from({ length: 120 }, (_, t) => t);
  return { timeS, wheelHz: timeS.map((t) => at(t) * (1 + 0.004 * normal())), at };
}

function track(
  from: number,
  to: number,
  hz: (t: number) => number,
): { timeS: number[]; frequencyHz: number[] } {
  const timeS: number[] = [];
  for (let t = from; t < to; t += 0.085) timeS.push(t);
  return { timeS, frequencyHz: timeS.map(hz) };
}

test('slots of a rotor follow the wheel, with their number in the interval', () => {
  const speed = ride(1);
  const normal = gaussian(2);
  const found = followSpeed(
    track(20, 40, (t) => 36 * speed.at(t) + normal()),
    speed,
  );
  assert.equal(found.followsWheel, true);
  assert.ok(found.orderCi95 && found.orderCi95[0] <= 36 && found.orderCi95[1] >= 36);
  assert.ok(found.orderCi95[1] - found.orderCi95[0] < 1, 'narrow enough to tell 36 from 35');
  near(found.slope ?? NaN, 1, { abs: 0.05, why: 'speed known to 0.4 % each second' });
});

test('a spoke that rings stays where it is, though it wanders a little', () => {
  const speed = ride(3);
  const normal = gaussian(4);
  const found = followSpeed(
    track(20, 50, () => 410 + normal()),
    speed,
  );
  assert.equal(found.followsWheel, false);
  assert.equal(found.order, null);
  assert.ok(found.slopeCi95 && found.slopeCi95[0] < 0.05 && found.slopeCi95[1] > -0.05);
});

test('at steady speed, or without speed, nobody can tell', () => {
  const timeS = Array.from({ length: 60 }, (_, t) => t);
  const steady = { timeS, wheelHz: timeS.map(() => 6) };
  assert.equal(
    followSpeed(
      track(5, 30, () => 216),
      steady,
    ).followsWheel,
    null,
  );
  assert.equal(
    followSpeed(
      track(5, 30, () => 216),
      { timeS: [], wheelHz: [] },
    ).followsWheel,
    null,
  );
  assert.equal(
    followSpeed(
      track(100, 130, () => 216),
      steady,
    ).followsWheel,
    null,
  );
  assert.equal(
    followSpeed(
      track(5, 5.3, () => 216),
      ride(5),
    ).followsWheel,
    null,
  );
});

test('a clock that is off is corrected by what the caller says, and can be found from the tones', () => {
  const speed = ride(6);
  const normal = gaussian(7);
  const late = [
    track(30, 50, (t) => 36 * speed.at(t + 7.3) + 0.5 * normal()),
    track(60, 75, (t) => 24 * speed.at(t + 7.3) + 0.5 * normal()),
    track(55, 70, () => 950 + normal()),
  ];
  assert.notEqual(followSpeed(late[0], speed).followsWheel, true);
  assert.equal(followSpeed(late[0], speed, { offsetS: 7.3 }).followsWheel, true);
  const found = alignClock(late, speed, { mostS: 20 });
  assert.ok(found);
  near(found.offsetS, 7.3, { abs: 4 * found.standardUncertaintyS, why: 'stated uncertainty' });
  assert.ok(found.standardUncertaintyS < 0.3);
  assert.equal(alignClock([late[2]], speed, { mostS: 20 }), null, 'a tone that stays says nothing');
});
