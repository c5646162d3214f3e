import assert from 'node:assert/strict';
import { test } from 'node:test';
import { residualChecks } from '../../../../src/core/methods/field-drag/checks.ts';
import type { ResidualRow } from '../../../../src/core/methods/field-drag/index.ts';
import { normalQuantile } from '../../../../src/core/statistics/index.ts';
import { near } from '../../../near.ts';

/** Rows of 24 laps with residuals that are white: normal scores in an order drawn by lot. */
function whiteRows(n = 288): ResidualRow[] {
  let state = 12345;
  const lots = Array.from({ length: n }, (_, i) => {
    state = (Math.imul(state, 1103515245) + 12345) & 0x7fffffff;
    return { i, lot: state };
  });
  const rank = new Array<number>(n);
  lots.sort((a, b) => a.lot - b.lot).forEach(({ i }, r) => (rank[i] = r));
  return Array.from({ length: n }, (_, i) => ({
    run: 1 + Math.floor(i / 36),
    lap: 1 + (Math.floor(i / 12) % 3),
    setup: i % 2 ? 'a' : 'b',
    dayTimeS: 20 * i,
    positionM: 200 * (i % 12),
    speedMps: 10 + Math.sin(1.7 * i),
    airspeedMps: 11,
    yawDeg: 3 + 2 * Math.cos(0.9 * i),
    z: normalQuantile((rank[i] + 0.5) / n),
  }));
}

const check = (rows: ResidualRow[], name: string) =>
  residualChecks(rows).find((one) => one.name === name)!;

test('white residuals pass every check', () => {
  const checks = residualChecks(whiteRows());
  assert.equal(checks.length, 5);
  for (const { name, passed } of checks) assert.ok(passed, name);
});

const trends: [name: string, of: (row: ResidualRow) => number][] = [
  ['against speed', (row) => row.speedMps - 10],
  ['against yaw', (row) => (row.yawDeg! - 3) / 2],
  ['against time of day', (row) => row.dayTimeS / 2880 - 1],
];
for (const [name, of] of trends) {
  test(`a trend ${name} is told, and only there`, () => {
    const rows = whiteRows().map((row) => ({ ...row, z: row.z + 0.8 * of(row) }));
    const failed = residualChecks(rows).filter(({ passed }) => !passed);
    assert.ok(
      failed.some((one) => one.name === name),
      `${failed.map((one) => one.name)}`,
    );
    assert.ok(
      !failed.some((one) => trends.some(([other]) => other === one.name && other !== name)),
    );
    assert.ok(check(rows, name).statistic > 0.3);
  });
}

test('a trend that is there but small passes, and says that it was seen and what it is worth', () => {
  // 0.21 of a sine of standard deviation 0.707 beside scatter 1: r near 0.15 over 288 rows, p below 0.01.
  const rows = whiteRows().map((row) => ({ ...row, z: row.z + 0.23 * (row.speedMps - 10) }));
  const said = (scale: { rowM2: number; smallestVisibleM2: number } | null) =>
    residualChecks(rows, scale).find(({ name }) => name === 'against speed')!;
  const { passed, pValue, statistic, meaning } = said({ rowM2: 0.004, smallestVisibleM2: 0.003 });
  assert.ok(passed && pValue < 0.01, `r ${statistic}, p ${pValue}`);
  assert.match(
    meaning,
    new RegExp(`^Seen \\(p (${pValue.toFixed(3)}|< 0\\.001)\\), but too small`),
  );
  assert.ok(meaning.includes(`worth about ${(0.004 * statistic).toFixed(4)} m²`), meaning);
  assert.match(meaning, /smallest visible difference is 0\.0030 m²/);
  assert.match(said(null).meaning, /but too small to matter: \d+ % of the scatter/);
  assert.match(said({ rowM2: 0.04, smallestVisibleM2: 0.003 }).meaning, /^Seen .*weak/);
  assert.equal(check(whiteRows(), 'against speed').meaning, 'No trend worth minding.');
});

test('neighbours that are alike are told; neighbours that lean opposite ways are not', () => {
  const rows = whiteRows();
  const slow = rows.map((row, i) => ({ ...row, z: row.z + (i > 0 ? rows[i - 1].z : 0) }));
  const told = check(slow, 'neighbours in time');
  assert.equal(told.passed, false);
  near(told.statistic, 0.5, { abs: 0.12, why: 'a moving sum of two is correlated by one half' });
  const swinging = rows.map((row, i) => ({ ...row, z: row.z - (i > 0 ? rows[i - 1].z : 0) }));
  assert.ok(check(swinging, 'neighbours in time').passed);
});

test('neighbours are those of one lap: the last row of a lap and the first of the next are none', () => {
  const rows = whiteRows(96).map((row, i) => ({ ...row, lap: i, z: i % 2 }));
  assert.equal(check(rows, 'neighbours in time').statistic, 0);
});

test('more stretches far off than Student has with 8 degrees are told', () => {
  const rows = whiteRows();
  assert.ok(check(rows, 'stretches far off').passed);
  // P(|t₈| > 4) = 0.00395 (table of Student): 1.1 of 288 are to be expected, so 8 are too many.
  const some = rows.map((row, i) => (i % 36 === 5 ? { ...row, z: 7 } : row));
  const told = check(some, 'stretches far off');
  assert.equal(told.passed, false);
  near(told.statistic, 8 / 288, { rel: 1e-12, why: 'the share that is off' });
  const one = rows.map((row, i) => (i === 100 ? { ...row, z: 5 } : row));
  assert.ok(check(one, 'stretches far off').passed);
});

test('without crosswind there is no check against yaw', () => {
  const rows = whiteRows().map((row) => ({ ...row, yawDeg: null }));
  assert.ok(!residualChecks(rows).some((one) => one.name === 'against yaw'));
});
