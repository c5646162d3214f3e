import assert from 'node:assert/strict';
import { test } from 'node:test';
import fc from 'fast-check';
import { BorderedSystem } from '../../../../src/core/methods/field-drag/bordered.ts';
import {
  cholesky,
  choleskyInverse,
  choleskyLogDet,
  choleskySolve,
} from '../../../../src/core/statistics/index.ts';
import { LapbenchError } from '../../../../src/core/units/index.ts';
import { near } from '../../../near.ts';

interface Observation {
  index: Int32Array;
  value: Float64Array;
  weight: number;
  residual: number;
}

interface Case {
  bandCount: number;
  width: number;
  borderCount: number;
  observations: Observation[];
}

/** Random observations that keep to the band, and one on each unknown so that all are determined. */
const cases: fc.Arbitrary<Case> = fc
  .record({
    bandCount: fc.integer({ min: 0, max: 24 }),
    width: fc.integer({ min: 1, max: 6 }),
    borderCount: fc.integer({ min: 1, max: 7 }),
    seed: fc.integer({ min: 1, max: 1 << 30 }),
  })
  .map(({ bandCount, width, borderCount, seed }) => {
    let state = seed;
    const random = () => {
      state = (Math.imul(state, 1103515245) + 12345) & 0x7fffffff;
      return state / 0x7fffffff;
    };
    const n = bandCount + borderCount;
    const observations: Observation[] = [];
    for (let i = 0; i < n; i++) {
      const entries = new Map([[i, 0.5 + random()]]);
      for (let k = 0; k < 4; k++) {
        const j =
          i < bandCount && k < 2
            ? Math.min(bandCount - 1, i + Math.floor(random() * (Math.floor(width / 2) + 1)))
            : bandCount + Math.floor(random() * borderCount);
        entries.set(j, 2 * random() - 1 || 0.5);
      }
      observations.push({
        index: Int32Array.from(entries.keys()),
        value: Float64Array.from(entries.values()),
        weight: 0.2 + 3 * random(),
        residual: 2 * random() - 1,
      });
      observations.push({
        index: Int32Array.of(i),
        value: Float64Array.of(1),
        weight: 0.3,
        residual: 0,
      });
    }
    return { bandCount, width, borderCount, observations };
  });

function assembled({ bandCount, width, borderCount, observations }: Case): BorderedSystem {
  const system = new BorderedSystem(bandCount, width, borderCount);
  for (const { index, value, weight, residual } of observations) {
    system.add(index, value, index.length, weight, residual);
  }
  return system;
}

/** The same equations as one full matrix. */
function dense({ bandCount, borderCount, observations }: Case): {
  n: number;
  matrix: Float64Array;
  right: Float64Array;
} {
  const n = bandCount + borderCount;
  const matrix = new Float64Array(n * n);
  const right = new Float64Array(n);
  for (const { index, value, weight, residual } of observations) {
    index.forEach((i, a) => {
      right[i] += weight * value[a] * residual;
      index.forEach((j, b) => (matrix[i * n + j] += weight * value[a] * value[b]));
    });
  }
  return { n, matrix, right };
}

const property = (check: (one: Case) => void): void =>
  fc.assert(fc.property(cases, check), { numRuns: 60, seed: 11 });

test('the solution of the bordered system is that of the full matrix', () => {
  property((one) => {
    const { n, matrix, right } = dense(one);
    const expected = choleskySolve(cholesky(matrix, n), n, right);
    near(assembled(one).factorise(0).solve(), expected, {
      rel: 1e-9,
      abs: 1e-10,
      why: 'rounding of some 30 equations',
    });
  });
});

test('put back into the equations the solution gives their right-hand side: K·x = r', () => {
  property((one) => {
    const { n, matrix, right } = dense(one);
    const x = assembled(one).factorise(0).solve();
    const back = Array.from({ length: n }, (_, i) =>
      x.reduce((sum, value, j) => sum + matrix[i * n + j] * value, 0),
    );
    near(back, right, { abs: 1e-10, why: 'rounding' });
  });
});

test('the log of the determinant is that of the full matrix', () => {
  property((one) => {
    const { n, matrix } = dense(one);
    near(assembled(one).factorise(0).logDeterminant, choleskyLogDet(cholesky(matrix, n), n), {
      abs: 1e-9,
      why: 'rounding',
    });
  });
});

test('covariances are those of the full inverse wherever two unknowns lie within the band', () => {
  property((one) => {
    const { n, matrix } = dense(one);
    const inverse = choleskyInverse(cholesky(matrix, n), n);
    const factor = assembled(one).factorise(0);
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < n; j++) {
        const apart = i < one.bandCount && j < one.bandCount && Math.abs(i - j) > one.width;
        if (apart) {
          assert.ok(Number.isNaN(factor.covariance(i, j)), 'not known, and not given as a number');
          continue;
        }
        near(factor.covariance(i, j), inverse[i * n + j], {
          rel: 1e-8,
          abs: 1e-10,
          why: 'rounding',
        });
      }
    }
  });
});

test('the variance of an observation is j·C·jᵀ with the full inverse C', () => {
  property((one) => {
    const { n, matrix } = dense(one);
    const inverse = choleskyInverse(cholesky(matrix, n), n);
    const factor = assembled(one).factorise(0);
    for (const { index, value } of one.observations) {
      let expected = 0;
      index.forEach((i, a) =>
        index.forEach((j, b) => (expected += value[a] * value[b] * inverse[i * n + j])),
      );
      near(factor.varianceOf(index, value, index.length), expected, {
        rel: 1e-8,
        abs: 1e-11,
        why: 'rounding',
      });
    }
  });
});

test('damping adds its share to every diagonal element', () => {
  property((one) => {
    const { n, matrix, right } = dense(one);
    for (let i = 0; i < n; i++) matrix[i * n + i] *= 1.25;
    near(assembled(one).factorise(0.25).solve(), choleskySolve(cholesky(matrix, n), n, right), {
      rel: 1e-9,
      abs: 1e-10,
      why: 'rounding',
    });
  });
});

test('another right-hand side is solved without factorising again', () => {
  property((one) => {
    const { n, matrix } = dense(one);
    const system = assembled(one);
    const factor = system.factorise(0);
    system.rightBand.fill(0);
    system.rightBorder.fill(0);
    const { index, value } = one.observations[0];
    system.addRight(index, value, index.length, 2, 3);
    const right = new Float64Array(n);
    index.forEach((i, a) => (right[i] += 6 * value[a]));
    near(factor.solve(), choleskySolve(cholesky(matrix, n), n, right), {
      rel: 1e-9,
      abs: 1e-10,
      why: 'rounding',
    });
  });
});

test('an unknown that nothing determines is refused in words', () => {
  for (const missing of [1, 4]) {
    const system = new BorderedSystem(3, 1, 2);
    for (let i = 0; i < 5; i++) {
      if (i !== missing) system.add(Int32Array.of(i), Float64Array.of(1), 1, 1, 0);
    }
    assert.throws(
      () => system.factorise(0),
      (error) => error instanceof LapbenchError && /too little was measured/.test(error.message),
    );
  }
});
