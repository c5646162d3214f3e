/** Means, intervals, the ratio of the sides, gauge and pitch to tension. */
import assert from 'node:assert/strict';
import test from 'node:test';
import { demandedRatio } from '../../../../src/core/methods/tension/model.ts';
import { beamsOf } from '../../../../src/core/methods/tension/pitch.ts';
import { beamFrequencyHz, clampedEnds, pinnedEnds } from '../../../../src/core/structure/index.ts';
import { near } from '../../../near.ts';
import {
  dishedWheel,
  finding,
  normal,
  readingsOf,
  seeded,
  sidesOf,
  type WheelChange,
} from './made-wheels.ts';

const wheel = dishedWheel();
const sides = sidesOf(wheel);
const even = sides.map((side) => (side === 'left' ? 600 : 1090));

test('mean, sample deviation, worst and what lies outside, by hand', () => {
  const values = [500, 1000, 600, 1100, 700, 1200, 600, 700];
  const found = finding({
    readings: readingsOf(
      values,
      values.map((_, i) => (i % 2 ? 'right' : 'left')),
    ),
  });
  const [left, right] = found.sides;
  assert.equal(left.meanN, 600);
  assert.equal(right.meanN, 1000);
  // Squares about the mean: 100² + 0 + 100² + 0, and 0 + 100² + 200² + 300², each over 3.
  near(left.spreadN, Math.sqrt(20000 / 3), { rel: 1e-12, why: 'by hand' });
  near(right.spreadPercent, Math.sqrt(140000 / 3) / 10, { rel: 1e-12, why: 'by hand' });
  assert.equal(right.worst.spoke, 8);
  near(right.worst.deviationPercent, -30, { rel: 1e-12, why: 'by hand' });
  assert.deepEqual(left.outsideTolerance, []);
  assert.deepEqual(right.outsideTolerance, [8]);
  assert.deepEqual([right.lowestN, right.highestN], [700, 1200]);
  assert.deepEqual(found.tolerance, { percent: 20, source: 'common practice, no source' });
  near(found.ratio!.measured, 0.6, { rel: 1e-12, why: 'by hand' });
  assert.equal(found.ratio!.demanded, null);
  assert.equal(left.meanCi95, null);
});

test('±20 % is inside at 20 %, outside just above; a maker’s tolerance takes its place', () => {
  const readings = readingsOf(
    [720, 900, 600, 900, 480, 900, 600, 900],
    sides.slice(0, 8), // left, right, …
  );
  assert.deepEqual(finding({ readings }).sides[0].outsideTolerance, []);
  const narrow = finding({ readings, tolerancePercent: 19 });
  assert.deepEqual(narrow.sides[0].outsideTolerance, [1, 5]);
  assert.match(narrow.tolerance.source, /maker/);
});

test('neighbours that pull together are one run, across the valve too; single ones are none', () => {
  const tension = even.slice();
  for (const spoke of [31, 1, 3]) tension[spoke - 1] *= 1.1;
  for (const spoke of [10, 12, 14, 16]) tension[spoke - 1] *= 0.9;
  tension[20 - 1] *= 1.15;
  const [left, right] = finding({ readings: readingsOf(tension, sides) }).sides;
  assert.deepEqual(
    left.runs.map(({ spokes, kind }) => [kind, spokes]),
    [['tight', [31, 1, 3]]],
  );
  assert.deepEqual(
    right.runs.map(({ spokes, kind }) => [kind, spokes]),
    [['loose', [10, 12, 14, 16]]],
  );
  near(left.runs[0].deviationPercent, 100 * (1.1 / (1 + 0.3 / 16) - 1), {
    rel: 1e-9,
    why: 'by hand: the mean rises by 3 × 10 % of a sixteenth',
  });
});

test('dished wheel, flanges 35 and 19 mm, R − r = 278 mm, radial: wide to narrow .5459 by statics', () => {
  // T1 sin a1 = T2 sin a2 worked by hand in the reference table; offsets alone would give .5429.
  near(demandedRatio(dishedWheel({ cross: 0 })), 0.5459, { abs: 5e-5, why: 'four digits' });
});

test('2:1 lacing: twice the spokes on the left halve its tension at equal flanges', () => {
  const base = dishedWheel({ cross: 0, offsetM: { left: 0.03, right: 0.03 } });
  const two = {
    ...base,
    spokes: { left: { ...base.spokes.left, count: 16 }, right: { ...base.spokes.right, count: 8 } },
  };
  near(demandedRatio(two), 0.5, { rel: 1e-12, why: 'by symmetry' });
});

test('a ratio 15 % off, every spoke read twice: said, for statics leaves no choice', () => {
  const readings = [1, 0.99].flatMap((times) =>
    readingsOf(
      even.map((x, i) => x * times * (sides[i] === 'left' ? 1.15 : 1)),
      sides,
    ),
  );
  const { ratio, warnings } = finding({ readings, wheel });
  assert.ok(ratio!.differencePercent! > 10);
  assert.ok(warnings.some(({ code }) => code === 'ratio-off'));
  const right = [1, 0.99].flatMap((times) =>
    readingsOf(
      even.map((x) => x * times),
      sides,
    ),
  );
  assert.ok(!finding({ readings: right, wheel }).warnings.some(({ code }) => code === 'ratio-off'));
});

test('the interval of a side’s mean holds the true mean of these spokes in 95 of 100', () => {
  const random = seeded(2027);
  let held = 0;
  const trials = 400;
  for (let trial = 0; trial < trials; trial++) {
    const readings = [0, 1].flatMap((round) =>
      readingsOf(
        even.slice(0, round === 0 ? 32 : 10).map((x) => x + 12 * normal(random)),
        sides,
      ),
    );
    const [low, high] = finding({ readings }).sides[0].meanCi95!;
    if (low <= 600 && 600 <= high) held++;
  }
  // Binomial: 95 % ± 3 standard deviations of 1.1 %.
  assert.ok(held / trials > 0.917 && held / trials < 0.983, `${held} of ${trials}`);
});

test('repeatability is pooled: two readings 20 N apart at every spoke are 14.1 N', () => {
  const readings = [-10, 10].flatMap((off) =>
    readingsOf(
      even.map((x) => x + off),
      sides,
    ),
  );
  const found = finding({ readings });
  near(found.repeatabilityN!, 10 * Math.SQRT2, { rel: 1e-12, why: 'by hand' });
  // s/√32 for sixteen spokes read twice, t(32) = 2.0369 (table).
  near(found.sides[0].meanCi95![1] - 600, (2.0369 * 10 * Math.SQRT2) / Math.sqrt(32), {
    rel: 1e-4,
    why: 'five digits of the table',
  });
});

const table = (points: [number, number][], spokeType: string | null = null) =>
  points.map(([reading, tensionN], i) => ({ spokeType, reading, tensionN, line: i + 2 }));
const bent: [number, number][] = [
  [15, 310],
  [19, 560],
  [23, 920],
  [27, 1530],
];

test('a gauge goes through its points; what it covers stands in the finding', () => {
  const gauge = even.map((x) => (x === 600 ? 19 : 23));
  const found = finding({
    readings: readingsOf(gauge, sides),
    as: 'gauge',
    calibration: { points: table(bent), file: 'gauge.csv' },
  });
  assert.equal(found.sides[0].meanN, 560);
  assert.equal(found.sides[1].meanN, 920);
  assert.deepEqual(found.gauge![0], {
    side: 'left',
    points: 4,
    reading: [15, 27],
    tensionN: [310, 1530],
  });
});

test('a table by kind of spoke: kinds named by side, or the one that is named', () => {
  const points = [
    ...table(bent, 'left'),
    ...table(
      bent.map(([x, y]) => [x, y * 1.1]),
      'Right',
    ),
  ];
  const readings = readingsOf(
    sides.map((side) => (side === 'left' ? 19 : 23)),
    sides,
  );
  const evidence = { readings, as: 'gauge' as const, calibration: { points, file: 'g.csv' } };
  near(finding(evidence).sides[1].meanN, 1012, { rel: 1e-12, why: 'a point of the table' });
  near(finding({ ...evidence, spokeType: 'left' }).sides[1].meanN, 920, {
    rel: 1e-12,
    why: 'point',
  });
});

/** Pitches of a wheel with springs in proportion to E·I. */
const pitches = (tensions: readonly number[], g: number, change: WheelChange = {}) => {
  const beams = beamsOf(dishedWheel(change));
  return tensions.map((tension, i) => {
    const beam = beams[sides[i]];
    const spring = g === Infinity ? Infinity : g * beam.bendingNm2;
    return beamFrequencyHz(beam, tension, [spring, spring]);
  });
};

test('pitch, calibrated on one spoke of known tension: every other spoke comes out', () => {
  const uneven = even.map((x, i) => x * (1 + 0.1 * Math.sin(i)));
  const found = finding({
    readings: readingsOf(pitches(uneven, 90), sides),
    as: 'pitch',
    wheel,
    known: [{ spoke: 3, tensionN: uneven[2] }],
  });
  near(
    found.spokes.map(({ tensionN }) => tensionN),
    uneven,
    { rel: 1e-6, why: 'round trip' },
  );
  const pitch = found.pitch!;
  assert.equal(pitch.condition, 'calibrated');
  assert.deepEqual(pitch.knownSpoke, { spoke: 3, tensionN: uneven[2] });
  near(pitch.endSpringNmPerRad!, 90 * beamsOf(wheel).left.bendingNm2, { rel: 1e-5, why: 'given' });
  const { clamped, pinned, string } = pitch.meanByConditionN;
  const mean = uneven.reduce((sum, x) => sum + x, 0) / 32;
  assert.ok(clamped < mean && mean < pinned && pinned < string);
  assert.equal(found.sides[0].meanCi95, null);
});

test('several known spokes that scatter: the ends between them, and the odd one named', () => {
  const readings = readingsOf(pitches(even, 90), sides);
  const known = [
    { spoke: 3, tensionN: 620 },
    { spoke: 5, tensionN: 580 },
    { spoke: 8, tensionN: 1090 },
  ];
  const found = finding({ readings, as: 'pitch', wheel, known });
  near(found.sides[1].meanN, 1090, { rel: 0.01, why: 'known within 3 %, and they average' });
  assert.deepEqual(
    found.warnings.filter(({ code }) => code === 'end-condition'),
    [],
  );
  const odd = finding({
    readings,
    as: 'pitch',
    wheel,
    known: [...known, { spoke: 10, tensionN: 970 }],
  });
  assert.match(
    odd.warnings.find(({ code }) => code === 'end-condition')!.message,
    /spoke 10 has 1\d\d\d N, not 970 N/,
  );
});

test('the known tension’s own uncertainty goes into the interval of the means', () => {
  const found = finding({
    readings: readingsOf(pitches(even, 90), sides),
    as: 'pitch',
    wheel,
    known: [{ spoke: 3, tensionN: 600, standardUncertaintyN: 20 }],
  });
  const [low, high] = found.sides[0].meanCi95!;
  near((high - low) / 2, 1.96 * 20, {
    rel: 0.1,
    why: 'all spokes of the side alike, but not linear',
  });
  near((low + high) / 2, 600, { rel: 1e-6, why: 'symmetric' });
});

test('without a known spoke: clamped, the interval runs to pinned, and the maximum is held against that', () => {
  const readings = readingsOf(pitches(even, Infinity), sides);
  const evidence = { readings, as: 'pitch' as const, wheel };
  const found = finding(evidence);
  assert.equal(found.pitch!.condition, 'clamped');
  near(found.sides[1].meanN, 1090, { rel: 1e-6, why: 'made with clamped ends' });
  const [low, high] = found.sides[1].meanCi95!;
  near(low, 1090, { rel: 1e-6, why: 'clamped gives the least' });
  const beam = beamsOf(wheel).right;
  const hz = readings[1].reading;
  near(beamFrequencyHz(beam, high, pinnedEnds), hz, { rel: 1e-6, why: 'pinned end of it' });
  near(beamFrequencyHz(beam, low, clampedEnds), hz, { rel: 1e-6, why: 'clamped end of it' });
  assert.match(
    found.warnings.find(({ code }) => code === 'end-condition')!.message,
    /taken as clamped.*With pinned ends .* % more/,
  );
  // 1090 N as clamped is 1310 N as pinned.
  assert.equal(finding({ ...evidence, maximumN: 1250 }).spokes[1].aboveMaximum, true);
  assert.equal(finding({ ...evidence, maximumN: 1400 }).spokes[1].aboveMaximum, false);
});

test('a 2 mm spoke by the plain string formula is 20 to 30 % out', () => {
  const found = finding({
    readings: readingsOf(pitches(even, Infinity), sides),
    as: 'pitch',
    wheel,
  });
  const { clamped, string } = found.pitch!.meanByConditionN;
  assert.ok(string / clamped > 1.2 && string / clamped < 1.3, String(string / clamped));
});

test('spokes above the maximum come first among the warnings; the cautions always stand', () => {
  const tension = even.map((x, i) => (i === 5 ? 1200 : x));
  const found = finding({ readings: readingsOf(tension, sides), wheel, maximumN: 1150 });
  assert.equal(found.warnings[0].code, 'tension-above-maximum');
  assert.match(found.warnings[0].message, /Spoke 6 has more than the maximum of 1150 N/);
  assert.match(found.cautions.join(), /maker’s maximum tension/);
  assert.match(found.cautions.join(), /qualified wheel builder/);
  assert.ok(found.balance?.reached && found.balance.highestN <= 1150);
});

test('no plan, with the reason: without a sheet, with a spoke unread, with nothing to turn', () => {
  const readings = readingsOf(even, sides);
  assert.match(finding({ readings }).balanceReason!, /Without a wheel sheet/);
  const fewer = readings.filter(({ spoke }) => spoke !== 7);
  const found = finding({ readings: fewer, wheel });
  assert.deepEqual(found.missing, [7]);
  assert.match(found.balanceReason!, /every spoke/);
  assert.match(
    found.warnings.find(({ code }) => code === 'spoke-missing')!.message,
    /Spoke 7 was not read: 31 of the wheel’s 32 were/,
  );
  assert.match(finding({ readings, wheel }).balanceReason!, /nothing to turn/);
});
