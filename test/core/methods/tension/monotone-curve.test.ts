/** The curve through a gauge's table, against SciPy. */
import assert from 'node:assert/strict';
import fs from 'node:fs';
import test from 'node:test';
import fc from 'fast-check';
import { monotoneCurve } from '../../../../src/core/methods/tension/monotone-curve.ts';
import { near } from '../../../near.ts';

/** Made by tools/reference/spokes/pchip.py; SciPy's version stands in the file. */
const { tables } = JSON.parse(
  fs.readFileSync(new URL('../../../fixtures/methods/pchip.json', import.meta.url), 'utf8'),
) as { tables: Record<'x' | 'y' | 'at' | 'value' | 'slope', number[]>[] };

test('values and slopes as SciPy PchipInterpolator has them, ends and flat pieces included', () => {
  assert.ok(tables.length >= 6);
  for (const { x, y, at, value, slope } of tables) {
    const curve = monotoneCurve(x, y);
    const here = at.map((one) => curve.at(one)!);
    const why = 'the same formulas in another order';
    const scale = Math.max(...y);
    near(
      here.map((one) => one.value),
      value,
      { abs: 1e-12 * scale, why },
    );
    near(
      here.map((one) => one.slope),
      slope,
      { abs: 1e-10 * scale, why },
    );
  }
});

test('nothing outside the points, and never a turn between rising ones', () => {
  fc.assert(
    fc.property(
      fc.array(
        fc.tuple(
          fc.double({ min: 0.1, max: 5, noNaN: true }),
          fc.double({ min: 0, max: 400, noNaN: true }),
        ),
        { minLength: 2, maxLength: 9 },
      ),
      (steps) => {
        let [x, y] = [0, 0];
        const points = steps.map(([dx, dy]) => [(x += dx), (y += dy)]);
        const curve = monotoneCurve(
          points.map((p) => p[0]),
          points.map((p) => p[1]),
        );
        assert.equal(curve.at(curve.from - 1e-9), null);
        assert.equal(curve.at(curve.to + 1e-9), null);
        assert.equal(curve.at(NaN), null);
        let before = -Infinity;
        for (let i = 0; i <= 60; i++) {
          const at = Math.min(curve.to, curve.from + ((curve.to - curve.from) * i) / 60);
          const { value } = curve.at(at)!;
          assert.ok(value >= before - 1e-9);
          before = value;
        }
      },
    ),
    { seed: 5, numRuns: 60 },
  );
});
