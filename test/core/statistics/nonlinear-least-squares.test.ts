import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { nonlinearLeastSquares, RankDeficientError } from '../../../src/core/statistics/index.ts';
import { near } from '../../near.ts';

const { nonlinear } = JSON.parse(
  readFileSync(new URL('../../fixtures/statistics/nist.json', import.meta.url), 'utf8'),
);

interface Model {
  value: (b: ArrayLike<number>, x: number) => number;
  /** ∂value/∂b. */
  slopes: (b: ArrayLike<number>, x: number) => number[];
}

const cubic = (c: ArrayLike<number>, at: number, x: number): number =>
  c[at] + x * (c[at + 1] + x * c[at + 2]);

const models: Record<string, Model> = {
  Misra1a: {
    value: (b, x) => b[0] * (1 - Math.exp(-b[1] * x)),
    slopes: (b, x) => [1 - Math.exp(-b[1] * x), b[0] * x * Math.exp(-b[1] * x)],
  },
  Thurber: {
    value: (b, x) => (cubic(b, 0, x) + b[3] * x ** 3) / (1 + x * cubic(b, 4, x)),
    slopes: (b, x) => {
      const bottom = 1 + x * cubic(b, 4, x);
      const whole = (cubic(b, 0, x) + b[3] * x ** 3) / bottom;
      return [1, x, x ** 2, x ** 3, -whole * x, -whole * x ** 2, -whole * x ** 3].map(
        (top) => top / bottom,
      );
    },
  },
  MGH09: {
    value: (b, x) => (b[0] * (x * x + x * b[1])) / (x * x + x * b[2] + b[3]),
    slopes: (b, x) => {
      const bottom = x * x + x * b[2] + b[3];
      const whole = (b[0] * (x * x + x * b[1])) / bottom;
      return [(x * x + x * b[1]) / bottom, (b[0] * x) / bottom, (-whole * x) / bottom, -whole / bottom]; // prettier-ignore
    },
  },
  MGH10: {
    value: (b, x) => b[0] * Math.exp(b[1] / (x + b[2])),
    slopes: (b, x) => {
      const e = Math.exp(b[1] / (x + b[2]));
      return [e, (b[0] * e) / (x + b[2]), (-b[0] * e * b[1]) / (x + b[2]) ** 2];
    },
  },
  Roszman1: {
    value: (b, x) => b[0] - b[1] * x - Math.atan(b[2] / (x - b[3])) / Math.PI,
    slopes: (b, x) => {
      const q = b[2] / (x - b[3]);
      const bell = -1 / (Math.PI * (1 + q * q));
      return [1, -x, bell / (x - b[3]), (bell * q) / (x - b[3])];
    },
  },
};

for (const [name, model] of Object.entries(models)) {
  const set = nonlinear[name];
  const residuals = (b: Float64Array): Float64Array =>
    Float64Array.from(set.y, (y: number, i: number) => y - model.value(b, set.x[i]));
  const jacobian = (b: Float64Array): Float64Array =>
    Float64Array.from(
      set.x.flatMap((x: number) => model.slopes(b, x).map((slope) => -slope)) as number[],
    );
  [0, 1].forEach((which) => {
    test(`NIST StRD ${name} from start ${which + 1}: nine digits of parameters and standard errors`, () => {
      const fit = nonlinearLeastSquares({
        residuals,
        jacobian,
        start: set.starts[which],
        maxIterations: 20000,
      });
      const why = 'NIST StRD certified value, eleven digits';
      assert.ok(fit.converged);
      near(fit.coefficients, set.beta, { rel: 1e-9, why });
      near(fit.standardErrors, set.sd, { rel: 1e-9, why });
      near(fit.residualSumOfSquares, set.rss, { rel: 1e-9, why });
      near(fit.residualSd, set.residualSd, { rel: 1e-9, why });
    });
  });
  test(`NIST StRD ${name} with slopes by differences: eight digits`, () => {
    const fit = nonlinearLeastSquares({ residuals, start: set.starts[1] });
    assert.ok(fit.converged);
    near(fit.coefficients, set.beta, { rel: 1e-8, why: 'NIST StRD' });
    near(fit.standardErrors, set.sd, { rel: 2e-8, why: 'NIST StRD' });
  });
}

test('iterations that run out are said, not passed off as a solution', () => {
  const { y, x, starts } = nonlinear.MGH10;
  const fit = nonlinearLeastSquares({
    residuals: (b) =>
      Float64Array.from(y, (value: number, i: number) => value - models.MGH10.value(b, x[i])),
    start: starts[0],
    maxIterations: 50,
  });
  assert.equal(fit.converged, false);
});

test('parameters that only appear as a product cannot be told apart', () => {
  const x = [1, 2, 3, 4];
  assert.throws(
    () =>
      nonlinearLeastSquares({
        residuals: (b) => Float64Array.from(x, (value) => 2 * value - b[0] * b[1] * value),
        start: [1, 1],
      }),
    RankDeficientError,
  );
});

test('an exact fit stops at once, and a start where the model is not finite is refused', () => {
  const residuals = (b: Float64Array): Float64Array =>
    Float64Array.from([1, 2, 3], (x) => Math.log(b[0]) * x);
  const fit = nonlinearLeastSquares({ residuals, start: [3] });
  near(fit.coefficients, [1], { abs: 1e-10, why: 'ln 1 = 0' });
  assert.throws(() => nonlinearLeastSquares({ residuals, start: [-1] }), /not finite/);
});
