import assert from 'node:assert/strict';
import { test } from 'node:test';
import {
  deflectionsCsv,
  simulateDeflections,
  simulateTensions,
  tensionsCsv,
} from '../../src/simulation/index.ts';
import { near } from '../near.ts';

const exact = {
  mountings: 1,
  positionsDeg: [0],
  mountingScatter: 0,
  readingMm: 0,
  dialStepMm: 1e-6,
};

test('without scatter the dial shows play and spring: 100 N more on 50 N/mm are 2 mm', () => {
  const readings = simulateDeflections({
    ...exact,
    lateralNPerMm: 50,
    slopMm: 0.2,
    slopTakenUpN: 25,
    frictionMm: 0.04,
    loadsN: [0, 50, 100, 150],
  });
  const at = (direction: string, loadN: number): number =>
    readings.find((one) => one.direction === direction && one.loadN === loadN)!.deflectionMm;
  const sharp = { abs: 3e-6, why: 'steps of the dial' };
  near(at('load', 150) - at('load', 50), 2, sharp);
  near(at('load', 50) - at('load', 0), 0.2 + 1, sharp);
  near(at('unload', 150), at('load', 150), sharp);
  near(at('unload', 0), at('load', 0), sharp);
  near(at('unload', 50) - at('load', 50), 0.04 * Math.sin(Math.PI / 3), sharp);
  assert.deepEqual(
    readings.map(({ loadN }) => loadN),
    [0, 50, 100, 150, 150, 100, 50, 0],
  );
});

test('mountings scatter by as much as is asked for', () => {
  const many = simulateDeflections({
    ...exact,
    mountings: 800,
    mountingScatter: 0.02,
    slopMm: 0,
    loadsN: [50, 150],
    lateralNPerMm: 80,
  });
  const up = many.filter(({ direction }) => direction === 'load');
  const stiffness = Array.from({ length: 800 }, (_, i) => {
    return 100 / (up[2 * i + 1].deflectionMm - up[2 * i].deflectionMm);
  });
  const mean = stiffness.reduce((sum, one) => sum + one) / 800;
  const sd = Math.sqrt(stiffness.reduce((sum, one) => sum + (one - mean) ** 2, 0) / 799);
  near(mean, 80, { abs: 4 * 0.02 * (80 / Math.sqrt(800)), why: 'four standard errors' });
  near(sd, 1.6, { rel: 4 / Math.sqrt(1600), why: 'four standard errors of a deviation' });
});

test('spoke tensions have the mean of their side, and those turned too far stand out', () => {
  const sides = Array.from({ length: 400 }, (_, i) =>
    i % 2 ? ('right' as const) : ('left' as const),
  );
  const read = simulateTensions({
    seed: 3,
    sides,
    meanN: { left: 900, right: 600 },
    scatter: 0.03,
    off: [{ spoke: 7, share: 0.5 }],
    times: 2,
    readingN: 10,
  });
  assert.equal(read.length, 800);
  assert.equal(read[6].tensionN > 1250, true);
  const right = read.filter(({ side }) => side === 'right');
  const mean = right.reduce((sum, { tensionN }) => sum + tensionN, 0) / right.length;
  near(mean, 600, { abs: (4 * 21) / Math.sqrt(200), why: 'four standard errors' });
  for (const { tensionN } of read) assert.equal(tensionN % 5, 0);
});

test('the tables have the columns that a tester keeps, and say in comments what they are', () => {
  const table = deflectionsCsv(simulateDeflections({ mountings: 1 }), ['Invented', 'Second line']);
  const lines = table.split('\n');
  assert.deepEqual(lines.slice(0, 3), [
    '# Invented',
    '# Second line',
    'remount,position_deg,direction,load_n,deflection_mm',
  ]);
  assert.match(lines[4], /^1,0,load,30,\d\.\d{1,2}$/);
  assert.equal(
    tensionsCsv([{ spoke: 1, side: 'left', tensionN: 905 }], []),
    'spoke,side,reading\n1,left,905\n',
  );
});
