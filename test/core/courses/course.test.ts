/** Courses from recordings: slopes with honest errors, mending, directions, corners, loops, refusals. */
import assert from 'node:assert/strict';
import test from 'node:test';
import fc from 'fast-check';
import { courseFrom, plainCourse, type CourseOptions } from '../../../src/core/courses/index.ts';
import { LapbenchError } from '../../../src/core/units/index.ts';
import { near } from '../../near.ts';
import { noise, recordingOf, straightRide, wavyRoad, type Ride } from './made-rides.ts';

const course = (ride: Ride, options: CourseOptions = {}) => courseFrom(recordingOf(ride), options);

const refusal = (run: () => unknown): { code: string; message: string; remedy?: string } => {
  try {
    run();
  } catch (error) {
    if (error instanceof LapbenchError) return error.problems[0];
    throw error;
  }
  throw new Error('was not refused');
};

/** Share of places where the 95 % interval of the slope holds the true slope, and the root mean square error. */
function coverage(
  kind: 'barometer' | 'satellite',
  options: CourseOptions,
): { share: number; rmse: number; sd: number } {
  let [held, count, squares, sds] = [0, 0, 0, 0];
  for (let seed = 1; seed <= 8; seed++) {
    const road = wavyRoad(100 * seed);
    const { normal } = noise(17 * seed);
    let wander = 0;
    const [sd, length, white] = kind === 'barometer' ? [0.5, 500, 0.15] : [3, 250, 0.7];
    const keep = Math.exp(-8 / length);
    const ride = straightRide(12_000, (x) => {
      wander = keep * wander + Math.sqrt(1 - keep * keep) * sd * normal();
      const seen = road.height(x) + wander + white * normal();
      // Devices write fifths of a metre.
      return Math.round(5 * seen) / 5;
    });
    const found = course(ride, { ...options, stepM: 10 });
    found.distanceM.forEach((s, i) => {
      // Along the road to along the map: less than 0.3 % apart here.
      const x = (s / found.lengthM) * 12_000;
      const off = found.gradient[i] - road.slope(x);
      const sdHere = found.gradientStandardUncertainty[i];
      if (Math.abs(off) <= 1.96 * sdHere) held += 1;
      count += 1;
      squares += off * off;
      sds += sdHere;
    });
  }
  return { share: held / count, rmse: Math.sqrt(squares / count), sd: sds / count };
}

for (const kind of ['barometer', 'satellite'] as const) {
  for (const heightsFrom of [kind, null]) {
    test(`stated error of the slope, ${kind} ${heightsFrom ? 'said' : 'not said'}: 95 % intervals hold in 88 to 99.9 %`, () => {
      const { share, rmse, sd } = coverage(kind, { heightsFrom });
      assert.ok(share > 0.88 && share < 0.999, `${share}, error ${rmse}, stated ${sd}`);
      // And they say something: a slope within about a percent, where raw differences of heights err by tens.
      assert.ok(rmse < (kind === 'barometer' ? 0.008 : 0.02), `${rmse}`);
    });
  }
}

test('exact heights of an even road give its slope everywhere, and its length along the road', () => {
  const found = course(straightRide(4000, (x) => 100 + 0.08 * x));
  near(found.gradient, new Float64Array(found.gradient.length).fill(0.08), {
    abs: 2e-3,
    why: 'heights without error',
  });
  near(found.lengthM, 4000 * Math.hypot(1, 0.08), { rel: 1e-4, why: 'hypotenuse' });
  near(found.climbM, 320, { rel: 0.01, why: '8 % of 4 km' });
  near(found.headingDeg!, new Float64Array(found.gradient.length).fill(90), {
    abs: 0.1,
    why: 'ridden east',
  });
  assert.deepEqual(found.warnings, []);
});

test('with a measured distance the slope is rise over run all the same', () => {
  const ride = straightRide(3000, (x) => 100 + 0.2 * x);
  const distanceM = ride.eastM.map((x) => x * Math.hypot(1, 0.2));
  const found = course({ ...ride, distanceM });
  near(found.gradient[1500], 0.2, { abs: 0.003, why: 'tangent from the sine' });
});

test('a spike of the height is left out with a word, and the slope does not feel it', () => {
  const even = (x: number): number => 100 + 0.03 * x;
  const found = course(straightRide(3000, (x, i) => even(x) + (i === 180 || i === 181 ? 40 : 0)));
  assert.ok(found.gradient.every((slope) => Math.abs(slope - 0.03) < 0.01));
  assert.deepEqual(
    found.warnings.map(({ code }) => code),
    ['course-mended'],
  );
  assert.match(found.warnings[0].message, /spike.*1\.44 km/);
});

test('a barometer that steps for good is set right with a word', () => {
  const found = course(straightRide(3000, (x) => 100 + 0.02 * x + (x > 1500 ? 15 : 0)));
  assert.ok(found.gradient.every((slope) => Math.abs(slope - 0.02) < 0.02));
  assert.match(found.warnings[0].message, /jumps for good at 1\.50 km \(\+15\.\d m\)/);
  near(found.altitudeM.at(-1)! - found.altitudeM[0], 60, { abs: 1.5, why: 'the step taken off' });
});

test('a wall of 55 % over 160 m is refused: no road', () => {
  const height = (x: number): number => 0.55 * Math.min(160, Math.max(0, x - 1000));
  const found = refusal(() => course(straightRide(3000, height)));
  assert.equal(found.code, 'course-steep');
});

test('heights that jump all the time are refused, not smoothed over', () => {
  const { uniform } = noise(3);
  const found = refusal(() => course(straightRide(3000, () => (uniform() < 0.15 ? 80 : 0))));
  assert.equal(found.code, 'course-steep');
  assert.match(found.message, /cannot be mended/);
});

test('heights missing: all of them refused with a remedy, a gap bridged with more doubt', () => {
  const none = refusal(() => course({ ...straightRide(3000, () => 0), altitudeM: [] }));
  assert.equal(none.code, 'course-altitude');
  assert.match(none.remedy!, /gradientPercent/);
  const road = wavyRoad(5);
  const gap = course(straightRide(4000, (x) => (x > 1500 && x < 2300 ? NaN : road.height(x))));
  assert.ok(gap.gradientStandardUncertainty[1900] > 3 * gap.gradientStandardUncertainty[600]);
  assert.equal(gap.warnings[0].code, 'channel-partial');
});

test('one point is a place, two near points are no course', () => {
  const one = refusal(() => course(straightRide(1, () => 10)));
  assert.equal(one.code, 'recording-too-short');
  assert.match(one.message, /one point/);
  assert.equal(refusal(() => course(straightRide(24, () => 10))).code, 'recording-too-short');
});

test('no positions: a course without directions, said; nothing at all: refused', () => {
  const recording = recordingOf(straightRide(2000, () => 10));
  const { altitudeM } = recording.channels;
  const distanceM = Float64Array.from(recording.timeS, (t) => 8 * t);
  const found = courseFrom({ ...recording, channels: { altitudeM, distanceM } });
  assert.equal(found.headingDeg, null);
  assert.deepEqual(
    found.warnings.map(({ code }) => code),
    ['heading-missing'],
  );
  const nothing = refusal(() => courseFrom({ ...recording, channels: { altitudeM } }));
  assert.equal(nothing.code, 'channel-missing');
});

/** Round a stadium: two straights and two half circles, ridden clockwise, with points every few metres. */
function stadium(radiusM: number, straightM: number, laps: number, scatterM: number): Ride {
  const lap = 2 * straightM + 2 * Math.PI * radiusM;
  const { normal } = noise(11);
  const n = Math.floor((laps * lap) / 5) + 1;
  const places = Array.from({ length: n }, (_, i) => {
    let s = (i * 5) % lap;
    if (s < straightM) return [s, radiusM];
    s -= straightM;
    const arc = Math.PI * radiusM;
    if (s < arc) {
      const turn = s / radiusM;
      return [straightM + radiusM * Math.sin(turn), radiusM * Math.cos(turn)];
    }
    s -= arc;
    if (s < straightM) return [straightM - s, -radiusM];
    const turn = (s - straightM) / radiusM;
    return [-radiusM * Math.sin(turn), -radiusM * Math.cos(turn)];
  });
  return {
    file: 'loop.gpx',
    timeS: places.map((_, i) => i),
    eastM: places.map(([x]) => x + scatterM * normal()),
    northM: places.map(([, y]) => y + scatterM * normal()),
    altitudeM: places.map(() => 50),
  };
}

test('corners of 12, 30 and 60 m: radius within 10 %, inside its interval, turn of 180°, to the right', () => {
  for (const radius of [12, 30, 60]) {
    const found = course(stadium(radius, 300, 1, 0.15));
    assert.equal(found.corners.length, 2, `${radius} m`);
    for (const corner of found.corners) {
      near(corner.radiusM, radius, { rel: 0.1, why: 'positions scattered by 0.15 m' });
      assert.ok(corner.radiusCi95[0] < radius && radius < corner.radiusCi95[1] * 1.1);
      near(corner.turnDeg, 180, { abs: 25, why: 'windows round the ends of the bend' });
      assert.equal(corner.side, 'right');
    }
    near(found.corners[0].apexM, 300 + (Math.PI * radius) / 2, {
      abs: (Math.PI * radius) / 2 + 5,
      why: 'inside the bend',
    });
  }
});

test('scatter of positions on a straight road makes no corners', () => {
  const { normal } = noise(23);
  const ride = straightRide(5000, () => 10);
  const found = course({ ...ride, northM: ride.northM.map(() => 1.5 * normal()) });
  assert.deepEqual(found.corners, []);
});

test('a loop ridden twice is asked about; the answer is followed; a lap and a bit is not', () => {
  const twice = stadium(60, 500, 2.02, 0.3);
  const asked = refusal(() => course(twice));
  assert.equal(asked.code, 'course-repeated');
  assert.match(asked.message, /1\.38 km about 2\.0 times/);
  assert.match(asked.remedy!, /laps: 1/);
  const one = course(twice, { laps: 1 });
  near(one.lengthM, 1000 + 120 * Math.PI, { rel: 0.02, why: 'one lap, on a grid of 20 m' });
  assert.ok(one.closed);
  near(course(twice, { laps: 'all' }).lengthM, 2.02 * (1000 + 120 * Math.PI), {
    rel: 0.02,
    why: 'the whole file, scatter adds a little',
  });
  near(course(stadium(60, 500, 1.02, 0.3)).lengthM, 1.02 * (1000 + 120 * Math.PI), {
    rel: 0.02,
    why: 'not a repetition',
  });
  assert.match(refusal(() => course(twice, { laps: 5 })).message, /5 laps/);
});

test('there and back on one road is no loop ridden twice', () => {
  const out = straightRide(3000, () => 10);
  const back = [...out.eastM].reverse().slice(1);
  const eastM = [...out.eastM, ...back];
  const found = course({
    ...out,
    eastM,
    northM: eastM.map(() => 0),
    timeS: eastM.map((_, i) => i),
    altitudeM: eastM.map((x) => 10 + 0.01 * x),
  });
  assert.ok(found.closed);
  near(found.lengthM, 6000, { rel: 0.01, why: 'both ways' });
});

test('even stretches: heights add up, slopes and directions are as given, nothing is uncertain', () => {
  const found = plainCourse([
    { lengthM: 100, gradient: 0.1, headingDeg: 45 },
    { lengthM: 50, gradient: -0.05, headingDeg: 135 },
  ]);
  near(found.altitudeM.at(-1)!, 10 / Math.hypot(1, 0.1) - 2.5 / Math.hypot(1, 0.05), {
    rel: 1e-12,
    why: 'sines',
  });
  assert.deepEqual([found.gradient[99], found.gradient[100]], [0.1, -0.05]);
  assert.deepEqual([found.headingDeg![0], found.headingDeg![150]], [45, 135]);
  assert.ok(found.gradientStandardUncertainty.every((sd) => sd === 0));
  assert.throws(() => plainCourse([]), RangeError);
});

test('whatever the file holds, the course is finite with doubts above zero, or refused in words', () => {
  const value = (min: number, max: number) =>
    fc.oneof(
      { weight: 8, arbitrary: fc.double({ min, max, noNaN: true }) },
      { weight: 1, arbitrary: fc.constant(NaN) },
    );
  const point = fc.tuple(value(-30, 60), value(-20, 20), value(-3, 3));
  fc.assert(
    fc.property(
      fc.array(point, { minLength: 1, maxLength: 150 }),
      fc.boolean(),
      (steps, odometer) => {
        let [east, north, height, along] = [0, 0, 100, 0];
        const rows = steps.map(([dx, dy, dh]) => {
          east += dx || 0;
          north += dy || 0;
          height += dh || 0;
          along += Number.isNaN(dx) ? NaN : Math.hypot(dx, dy || 0);
          return {
            east: dx + 0 === dx ? east : NaN,
            north,
            height: dh + 0 === dh ? height : NaN,
            along,
          };
        });
        try {
          const found = course(
            {
              file: 'random.gpx',
              timeS: rows.map((_, i) => i),
              eastM: rows.map((row) => row.east),
              northM: rows.map((row) => row.north),
              altitudeM: rows.map((row) => row.height),
              ...(odometer ? { distanceM: rows.map((row) => row.along) } : {}),
            },
            { laps: 'all', stepM: 5 },
          );
          for (const column of [found.altitudeM, found.gradient, found.headingDeg!]) {
            assert.ok(column.every(Number.isFinite));
          }
          assert.ok(found.gradientStandardUncertainty.every((sd) => sd > 0));
          assert.ok(found.distanceM.every((s, i, all) => i === 0 || s > all[i - 1]));
        } catch (error) {
          if (!(error instanceof LapbenchError)) throw error;
          for (const { message, remedy } of error.problems) assert.ok(message && remedy);
        }
      },
    ),
    { seed: 9, numRuns: 300 },
  );
});
