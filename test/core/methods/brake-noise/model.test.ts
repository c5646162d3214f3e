import assert from 'node:assert/strict';
import test from 'node:test';
import type { Wheel } from '../../../../src/core/evidence/index.ts';
import {
  beamFrequencyHz,
  spokeBeam,
  wheelMechanics,
} from '../../../../src/core/structure/index.ts';
import { soundingSpokes, usualEnds } from '../../../../src/core/methods/brake-noise/model.ts';
import { logFit, residualOf } from '../../../../src/core/methods/brake-noise/fit.ts';
import { near } from '../../../near.ts';
import { crossedWheel, find, pluck } from './howls.ts';

/** Radial on the left with spokes of 280 mm, 2.0 mm, 200 GPa, 7900 kg/m³ at 1000 N. */
function longSpokes(): Wheel {
  const wheel = crossedWheel();
  const flange = 0.3 - Math.sqrt(0.28 ** 2 - 0.03 ** 2);
  const side = {
    ...wheel.spokes.left,
    cross: 0,
    materialEPa: 200e9,
    areaM2: Math.PI * 1e-6,
    densityKgM3: 7900,
  };
  return {
    ...wheel,
    hub: { ...wheel.hub, flangeRadiusM: { left: flange, right: flange } },
    spokes: {
      left: { ...side, meanTensionN: 1000 },
      right: { ...side, cross: 3, meanTensionN: null },
    },
    discSide: 'right',
  };
}

test('steel, 2.0 mm, 280 mm, 1000 N: between pinned 361.97 Hz and clamped 397.59 Hz', () => {
  // Roots of the frequency equation by SciPy (Morse 1948; Fletcher & Rossing 2.18).
  const curve = find({ wheel: longSpokes() }).curves.find(({ side }) => side === 'left')!;
  assert.ok(curve.hz[0] > 361.97 && curve.hz[0] < 397.59, `${curve.hz[0]} Hz`);
  // 70 % of a clamped end's effect lies nearer to clamped.
  assert.ok(curve.hz[0] > (361.97 + 397.59) / 2);
});

test('a radial spoke keeps its pitch under braking and is one that braking leaves alone', () => {
  const curve = find({ wheel: longSpokes() }).curves.find(({ side }) => side === 'left')!;
  assert.equal(curve.underBraking, 'unchanged');
  near(curve.hz.at(-1)!, curve.hz[0], { rel: 0.01, why: 'tension hardly changes' });
});

test('at 40 N m a curve has the pitch of the beam at the tension that the wheel has then', () => {
  const wheel = crossedWheel();
  const mechanics = wheelMechanics(wheel).spokes;
  for (const curve of find({ wheel }).curves.slice(0, 6)) {
    const own = mechanics.find(({ spoke }) => spoke === curve.spoke)!;
    const beam = spokeBeam(wheel.spokes[own.side], own.lengthM);
    near(
      curve.hz[curve.torqueNm.indexOf(40)],
      beamFrequencyHz(beam, own.tensionN + 40 * own.deltaTensionPerNm, usualEnds(beam)),
      { rel: 1e-9, why: 'same equation' },
    );
    assert.equal(curve.underBraking === 'loses', curve.hz[8] < curve.hz[0] * 0.9999);
  }
});

test('a spoke that goes slack is silent beyond that torque', () => {
  const wheel = crossedWheel();
  wheel.spokes.left = { ...wheel.spokes.left, meanTensionN: 60 };
  const curve = find({ wheel }).curves.find(({ underBraking }) => underBraking === 'loses')!;
  assert.ok(curve.torqueNm.length < 25 && curve.torqueNm.length > 1);
  assert.ok(curve.tensionN!.every((tension) => tension > 0));
});

test('a pluck sets the pitch, the mechanics carry it along the torque', () => {
  const wheel = crossedWheel();
  const computed = find({ wheel }).curves[0];
  const heard = 1.05 * computed.hz[0];
  const [own] = soundingSpokes({
    wheel,
    tensions: null,
    plucks: [{ spoke: computed.spoke, hz: heard, spread: 0.001, brakeTorqueNm: 0 }],
  });
  near(own.hzAt(0)!, heard, { rel: 1e-9, why: 'it was heard' });
  assert.equal(own.basis, 'both');
  const change = own.hzAt(40)! - heard;
  const expected = computed.hz[8] - computed.hz[0];
  near(change, expected, { rel: 0.15, why: 'a tighter spoke changes a little less' });
});

test('plucked free and under torque without a sheet, squared pitch runs straight between', () => {
  const sessions = [0, 30].map((brakeTorqueNm) => ({
    file: `at ${brakeTorqueNm}.wav`,
    brakeTorqueNm,
    spokes: [1, 2],
    plucks: [pluck(0, brakeTorqueNm ? 360 : 400), pluck(2, brakeTorqueNm ? 440 : 400)],
  }));
  const { curves } = find({ sessions });
  assert.deepEqual(
    curves.map(({ spoke, underBraking }) => [spoke, underBraking]),
    [
      [1, 'loses'],
      [2, 'gains'],
    ],
  );
  const [falling] = curves;
  near(falling.hz[falling.torqueNm.indexOf(15)], Math.sqrt((400 ** 2 + 360 ** 2) / 2), {
    rel: 1e-9,
    why: 'halfway in square',
  });
});

test('the density of a tone is that of a Gaussian written out in full', () => {
  const lnHz = [6.001, 6.004, 5.999];
  const noise = [0.001, 0.001, 0.001];
  const [a, b] = [0.003, 0.002];
  const pieces = lnHz.map((value, i) => ({
    atS: i,
    lnHz: value,
    noise: noise[i],
    lnWheel: null,
    lnTorque: 0,
  }));
  const rest = residualOf(pieces, () => 6)!;
  // Covariance w·I + a²·J of three: determinant w²(w + 3a²), inverse by Sherman and Morrison (1950).
  const w = b * b + 1e-6;
  const off = lnHz.map((value) => value - 6.0005);
  const sum = off.reduce((all, value) => all + value, 0);
  const square = off.reduce((all, value) => all + value * value, 0);
  const quadratic = square / w - (a * a * sum * sum) / (w * (w + 3 * a * a));
  const determinant = w * w * (w + 3 * a * a);
  near(
    logFit(rest, 0.0005, a, b),
    -0.5 * (3 * Math.log(2 * Math.PI) + Math.log(determinant) + quadratic),
    { rel: 1e-10, why: 'rounding' },
  );
});

test('the density of a tone adds up to one over where it may lie', () => {
  let all = 0;
  for (let x = -0.1; x < 0.1; x += 0.0002) {
    const piece = { atS: 0, lnHz: x, noise: 0.001, lnWheel: null, lnTorque: 0 };
    all +=
      Math.exp(
        logFit(
          residualOf([piece], () => 0)!,
          0,
          0.004,
          0.003,
        ),
      ) * 0.0002;
  }
  near(all, 1, { abs: 1e-6, why: 'step of the sum' });
});
