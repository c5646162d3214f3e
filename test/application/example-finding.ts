/** The sample drawn in the figures' tests with few setups and laps of round numbers, for tests of what is said about it. */
import type { FieldDragFinding, LapResult } from '../../src/application/contract.ts';
import { sampleFinding } from '../figures/sample.ts';

export function exampleFinding(change: Partial<FieldDragFinding> = {}): FieldDragFinding {
  return {
    ...sampleFinding(),
    title: 'Three pairs',
    date: '2026-05-17',
    invented: false,
    setups: [
      setup('control', 'Shallow pair', 0.2363, [0.2314, 0.2412]),
      setup('deep', 'Deep pair', 0.2311, [0.2262, 0.236]),
      setup('mid', 'Mid pair', 0.2359, [0.231, 0.2408]),
    ],
    differences: [
      {
        setup: 'deep',
        deltaCdaM2: -0.0052,
        ci95: [-0.0075, -0.0029],
        ci95Simultaneous: [-0.0079, -0.0025],
        pAdjusted: 0.0012,
        wattsAtReference: -4.28,
        wattsCi95: [-6.17, -2.39],
        verdict: 'lower',
        smallestVisibleM2: 0.0033,
        degreesOfFreedom: 11.2,
        laps: 6,
        runs: 2,
      },
      {
        setup: 'mid',
        deltaCdaM2: -0.0004,
        ci95: [-0.0027, 0.0019],
        ci95Simultaneous: [-0.0031, 0.0023],
        pAdjusted: 0.91,
        wattsAtReference: -0.33,
        wattsCi95: [-2.22, 1.56],
        verdict: 'not separable',
        smallestVisibleM2: 0.0033,
        degreesOfFreedom: 11.2,
        laps: 6,
        runs: 2,
      },
    ],
    laps: [lap(1, 1, 'control'), lap(1, 2, 'control'), lap(2, 1, 'deep'), lap(3, 1, 'mid')],
    warnings: [],
    cautions: ['Ride with care.'],
    inputs: [{ file: 'run-1.fit', sha256: 'ab'.repeat(32) }],
    ...change,
  };
}

function setup(id: string, name: string, cdaM2: number, ci95: [number, number]) {
  return { id, name, cdaM2, ci95, laps: 6, runs: 2, lapsLeftOut: 0 };
}

export function lap(
  run: number,
  number: number,
  of: string,
  change: Partial<LapResult> = {},
): LapResult {
  return {
    run,
    lap: number,
    setup: of,
    cdaM2: 0.236,
    standardUncertaintyM2: 0.002,
    used: true,
    reason: null,
    overruled: false,
    fromS: 0,
    toS: 240,
    dayTimeS: 0,
    durationS: 240,
    distanceM: 2500,
    meanSpeedMps: 10.4,
    meanPowerW: 240,
    airDensityKgM3: 1.2,
    windSpeedMps: 2,
    windFromDeg: 240,
    leftOut: [],
    ...change,
  };
}
