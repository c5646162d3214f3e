/**
 * An invented finding to draw and to look at: three setups, nine runs of three laps on a closed loop.
 * No measured values; only the shapes matter. Random numbers come from a fixed seed.
 */
import type { FieldDragFinding, LapResult, ResidualRow } from '../../src/application/contract.ts';

function random(seed: number): () => number {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

export function sampleFinding(): FieldDragFinding {
  const next = random(20260517);
  const bell = () => next() + next() + next() + next() - 2;
  const truth: Record<string, number> = { control: 0.2361, deep: 0.2309, box: 0.2357 };
  const order = ['control', 'deep', 'box', 'box', 'deep', 'control', 'control', 'deep', 'box'];
  const laps: LapResult[] = [];
  const rows: ResidualRow[] = [];
  order.forEach((setup, r) => {
    for (let lap = 1; lap <= 3; lap++) {
      const dayTimeS = r * 1150 + lap * 246;
      const bad = r === 4 && lap === 2;
      const late = r === 7 && lap === 3;
      laps.push({
        run: r + 1,
        lap,
        setup,
        cdaM2: bad ? 0.2489 : truth[setup] + bell() * 0.0009 + r * 0.00008,
        standardUncertaintyM2: 0.0007 + next() * 0.0004,
        used: !bad,
        reason: bad
          ? 'Stands off its setup by more than the other laps allow (robust z 5.1).'
          : late
            ? 'Kept on your word: the car was far off.'
            : null,
        overruled: late,
        fromS: 40 + (lap - 1) * 246,
        toS: 40 + lap * 246,
        dayTimeS,
        durationS: 246 + bell() * 3,
        distanceM: 2512,
        meanSpeedMps: 10.2 + bell() * 0.12,
        meanPowerW: 247 + bell() * 6,
        airDensityKgM3: 1.217,
        windSpeedMps: 2.1 + bell() * 0.5,
        windFromDeg: 232 + bell() * 22,
        leftOut:
          lap === 1 ? [{ fromS: 88, toS: 101, reason: 'Braking: speed falls without power.' }] : [],
      });
      for (let k = 0; k < 25; k++) {
        rows.push({
          run: r + 1,
          lap,
          setup,
          dayTimeS: dayTimeS + k * 9,
          positionM: k * 100,
          speedMps: 10.2 + bell() * 0.9,
          airspeedMps: 10.4 + bell() * 1.6,
          yawDeg: bell() * 9,
          z: bell() * 1.25,
        });
      }
    }
  });
  const positionM = Array.from({ length: 126 }, (_, i) => i * 20);
  const angle = (s: number) => (s / 2500) * 2 * Math.PI;
  const radius = (a: number) => 1 + 0.28 * Math.cos(2 * a + 0.4) + 0.1 * Math.sin(3 * a);
  const latDeg = positionM.map((s) => 50 + 0.0031 * Math.sin(angle(s)) * radius(angle(s)));
  const lonDeg = positionM.map((s) => 8 + 0.0068 * Math.cos(angle(s)) * radius(angle(s)));
  return {
    schema: 'lapbench/field-drag@1',
    title: 'Three wheelsets on the gravel-pit loop',
    date: '2026-05-17',
    invented: true,
    control: 'control',
    setups: [
      setup('control', 'Shallow pair', 0.2362, 9, 0),
      setup('deep', 'Deep pair', 0.2309, 8, 1),
      setup('box', 'Box-section pair', 0.2358, 9, 0),
    ],
    differences: [
      {
        setup: 'deep',
        deltaCdaM2: -0.00528,
        ci95: [-0.00731, -0.00325],
        ci95Simultaneous: [-0.00768, -0.00288],
        pAdjusted: 0.0006,
        wattsAtReference: -4.35,
        wattsCi95: [-6.02, -2.68],
        verdict: 'lower',
        smallestVisibleM2: 0.0029,
        degreesOfFreedom: 6.1,
        laps: 8,
        runs: 3,
      },
      {
        setup: 'box',
        deltaCdaM2: -0.0004,
        ci95: [-0.0024, 0.0016],
        ci95Simultaneous: [-0.00278, 0.00198],
        pAdjusted: 0.86,
        wattsAtReference: -0.33,
        wattsCi95: [-1.98, 1.32],
        verdict: 'not separable',
        smallestVisibleM2: 0.0029,
        degreesOfFreedom: 6.1,
        laps: 9,
        runs: 3,
      },
    ],
    laps,
    road: {
      lapLengthM: 2512,
      positionM,
      heightM: positionM.map((s) => 4.2 * (1 - Math.cos(angle(s))) + 0.8 * Math.sin(3 * angle(s))),
      latDeg,
      lonDeg,
      gate: { latDeg: latDeg[0], lonDeg: lonDeg[0] },
    },
    reference: { speedKmh: 40, airDensityKgM3: 1.2 },
    estimated: {
      airspeedScale: 1.048,
      airspeedScaleStandardUncertainty: 0.004,
      driftM2PerHour: 0.0003,
      driftStandardUncertainty: 0.0002,
      lapScatterM2: 0.0009,
      runScatterM2: 0.0007,
      meanWindMps: 2.1,
      usedAirspeed: true,
      usedAltitude: true,
      usedHeading: true,
    },
    residuals: {
      checks: [
        check(
          'slope against speed',
          0.01,
          0.71,
          true,
          'Drag grows with the square of airspeed, as it should.',
        ),
        check('slope against yaw', 0.06, 0.32, true, 'No trend with the angle of the air.'),
        check('slope over the day', 0.02, 0.55, true, 'The drift taken out is straight enough.'),
        check(
          'lag-one autocorrelation',
          0.19,
          0.003,
          false,
          'Neighbouring stretches of road err together: gusts last longer than one stretch. The intervals allow for it through the scatter of laps and runs.',
        ),
      ],
      rows,
    },
    budget: [
      { source: 'scatter between runs', ofDifferenceM2: 0.00062, ofAbsoluteM2: 0.00044 },
      { source: 'scatter between laps', ofDifferenceM2: 0.00044, ofAbsoluteM2: 0.00031 },
      { source: 'wind within the lap', ofDifferenceM2: 0.0003, ofAbsoluteM2: 0.00024 },
      { source: 'rolling resistance', ofDifferenceM2: 0.00004, ofAbsoluteM2: 0.0039 },
      { source: 'scale of the power meter', ofDifferenceM2: 0.00005, ofAbsoluteM2: 0.0028 },
      { source: 'mass of rider and bicycle', ofDifferenceM2: 0.00001, ofAbsoluteM2: 0.0002 },
    ],
    warnings: [
      {
        code: 'recording-gap',
        file: 'run-5.fit',
        place: { timeS: 512 },
        message: 'The device recorded nothing for 11 s.',
        remedy: 'The lap it falls in is kept without that stretch; look at it in the trace.',
      },
    ],
    cautions: [
      'A difference holds for this rider, this position and this air; it is not a property of the wheels alone.',
      'Test on a road without traffic, obey local law, and keep to the limits that the makers of your parts state.',
    ],
    method: 'field-drag 1',
    inputs: order.map((_, i) => ({ file: `run-${i + 1}.fit`, sha256: String(i).repeat(64) })),
  };
}

function setup(id: string, name: string, cdaM2: number, laps: number, lapsLeftOut: number) {
  const ci95: [number, number] = [cdaM2 - 0.0098, cdaM2 + 0.0098];
  return { id, name, cdaM2, ci95, laps, runs: 3, lapsLeftOut };
}

function check(name: string, statistic: number, pValue: number, passed: boolean, meaning: string) {
  return { name, statistic, pValue, passed, meaning };
}
