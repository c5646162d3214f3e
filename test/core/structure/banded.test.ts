import assert from 'node:assert/strict';
import test from 'node:test';
import { freedoms } from '../../../src/core/structure/beam.ts';
import { assemble, wheelModel } from '../../../src/core/structure/model.ts';
import type { RingMatrix } from '../../../src/core/structure/banded.ts';
import { near } from '../../near.ts';
import { deepTwoToOne, referenceWheel } from './wheels.ts';

/** The full matrix, column by column. */
function dense(matrix: RingMatrix): Float64Array[] {
  const n = matrix.nodes * freedoms;
  return Array.from({ length: n }, (_, j) => {
    const unit = new Float64Array(n);
    unit[j] = 1;
    return matrix.times(unit);
  });
}

/** Plain elimination with row exchanges, to compare with. */
function eliminate(columns: Float64Array[], right: Float64Array): Float64Array {
  const n = right.length;
  const a = Array.from({ length: n }, (_, i) =>
    Float64Array.from({ length: n + 1 }, (_, j) => (j < n ? columns[j][i] : right[i])),
  );
  for (let i = 0; i < n; i++) {
    let best = i;
    for (let r = i + 1; r < n; r++) if (Math.abs(a[r][i]) > Math.abs(a[best][i])) best = r;
    [a[i], a[best]] = [a[best], a[i]];
    for (let r = i + 1; r < n; r++) {
      const f = a[r][i] / a[i][i];
      if (f !== 0) for (let c = i; c <= n; c++) a[r][c] -= f * a[i][c];
    }
  }
  const x = new Float64Array(n);
  for (let i = n - 1; i >= 0; i--) {
    let sum = a[i][n];
    for (let c = i + 1; c < n; c++) sum -= a[i][c] * x[c];
    x[i] = sum / a[i][i];
  }
  return x;
}

test('the folded ring gives what plain elimination gives, for even and odd numbers of nodes', () => {
  for (const elementsPerSpoke of [2, 4]) {
    const { model } = wheelModel(deepTwoToOne(), { elementsPerSpoke });
    const matrix = assemble(model);
    const right = Float64Array.from({ length: model.nodes * freedoms }, (_, i) =>
      Math.sin(1 + 7 * i),
    );
    const plain = eliminate(dense(matrix), right);
    const banded = matrix.factor().solve(right);
    const scale = Math.max(...plain.map(Math.abs));
    near(banded, plain, { abs: 1e-9 * scale, why: 'round-off at a condition near 10⁷' });
    const back = matrix.times(banded);
    near(back, right, { abs: 1e-8, why: 'K u = f' });
  }
});

test('the full matrix is symmetric', () => {
  const columns = dense(assemble(wheelModel(deepTwoToOne(), { elementsPerSpoke: 2 }).model));
  const largest = Math.max(...columns.map((column) => Math.max(...column)));
  columns.forEach((column, j) =>
    column.forEach((x, i) => {
      if (i < j) near(x, columns[i][j], { abs: 1e-15 * largest, why: 'stored once' });
    }),
  );
});

test('negative pivots count the ways in which a wheel gives way', () => {
  const { model } = wheelModel(referenceWheel({ cross: 3, meanTensionN: 1000 }), {
    elementsPerSpoke: 4,
  });
  const count = (tensionFactor: number) => assemble(model, { tensionFactor }).factor().negative;
  assert.equal(count(0), 0);
  assert.equal(count(2), 0);
  assert.ok(count(3) >= 1);
  assert.ok(count(6) > count(3), 'more waves give way at more tension');
});
