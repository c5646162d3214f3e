import assert from 'node:assert/strict';
import test from 'node:test';
import type { SpokeSide, Wheel } from '../../../../src/core/evidence/index.ts';
import {
  estimateWheel,
  type WheelEvidence,
  type WheelFinding,
} from '../../../../src/core/methods/index.ts';
import { LapbenchError } from '../../../../src/core/units/index.ts';
import { near } from '../../../near.ts';

/** The fully specified 32-spoke reference wheel: REFERENCES C, two finite-element programs. */
function referenceWheel(cross: number, meanTensionN = 1): Wheel {
  const side: SpokeSide = {
    count: 16,
    cross,
    materialEPa: 210e9,
    areaM2: Math.PI * 1e-6,
    densityKgM3: 7900,
    meanTensionN,
  };
  return {
    name: `reference, ${cross}-cross`,
    rim: {
      radiusM: 0.3,
      materialEPa: 70e9,
      materialGPa: 26e9,
      areaM2: 1e-4,
      iRadialM4: 100 / 70e9,
      iLateralM4: 200 / 70e9,
      torsionM4: 25 / 26e9,
      nippleOffsetM: 0,
      massKg: 0.5,
    },
    hub: { flangeRadiusM: { left: 0.02, right: 0.02 }, flangeOffsetM: { left: 0.03, right: 0.03 } },
    spokes: { left: side, right: { ...side, meanTensionN: null } },
    discSide: null,
  };
}

const find = (wheel: Wheel, questions: Partial<WheelEvidence> = {}): WheelFinding =>
  estimateWheel({
    wheel,
    invented: true,
    other: null,
    benchLateralNPerMm: null,
    inputs: [],
    ...questions,
  });

for (const [cross, lateral, radial] of [
  [0, 134.8, 4618],
  [3, 121.2, 4412],
] as const) {
  test(`reference wheel, ${cross}-cross, next to no tension, at a spoke: ${lateral} and ${radial} N/mm`, () => {
    const finding = find(referenceWheel(cross));
    near(finding.lateralAtSpokeNPerMm, lateral, { abs: 0.06, why: 'published to four digits' });
    near(finding.radialAtSpokeNPerMm, radial, { abs: 2, why: 'published to four digits' });
  });
}

test('kilograms-force written as newtons are asked about; a loose wheel and a tensioned one are not', () => {
  const warned = (meanTensionN: number) =>
    find(referenceWheel(3, meanTensionN)).warnings.filter(({ code }) => code === 'reading-unit');
  assert.match(warned(100)[0]?.message ?? '', /has 100 N a spoke.*kilograms-force \(981 N\)/);
  assert.deepEqual(warned(100)[0].place, { field: 'spokes.left' });
  for (const meanTensionN of [1, 20, 400, 1000]) assert.deepEqual(warned(meanTensionN), []);
});

test('the headline is the mean of at a spoke and midway, and pretension softens', () => {
  const finding = find(referenceWheel(3, 1000));
  near(finding.lateralNPerMm, (finding.lateralAtSpokeNPerMm + finding.lateralMidwayNPerMm) / 2, {
    rel: 1e-12,
    why: 'defined so',
  });
  assert.ok(finding.lateralNPerMm < finding.lateralUntensionedNPerMm);
  assert.equal(finding.schema, 'lapbench/wheel@1');
  assert.deepEqual(
    finding.sides.map(({ count }) => count),
    [16, 16],
  );
});

test('braking on crossed left, radial right: the crossed side alone carries it, half gain, half lose', () => {
  // Common practice, no source; the sign comes from the mechanics: a leading spoke pulls under disc braking.
  const wheel = referenceWheel(3, 1000);
  wheel.spokes.right = { ...wheel.spokes.right, cross: 0 };
  wheel.discSide = 'left';
  const { spokes } = find(wheel);
  for (const { side, role, underBraking, deltaTensionPerNm } of spokes) {
    if (side === 'right') {
      assert.equal(role, 'radial');
      assert.equal(underBraking, 'unchanged');
    } else {
      assert.equal(underBraking, role === 'leading' ? 'gains' : 'loses');
      assert.equal(Math.sign(deltaTensionPerNm), role === 'leading' ? 1 : -1);
    }
  }
  const left = spokes.filter(({ side }) => side === 'left');
  assert.equal(left.filter(({ underBraking }) => underBraking === 'gains').length, 8);
});

test('a comparison’s parts add up to the difference, and each says what changed', () => {
  const other = referenceWheel(3, 1000);
  other.rim = { ...other.rim, iLateralM4: 2 * other.rim.iLateralM4, radiusM: 0.29 };
  const { comparison, lateralNPerMm } = find(referenceWheel(3, 1000), { other });
  assert.ok(comparison);
  near(comparison.stiffnesses.lateralNPerMm - lateralNPerMm, comparison.lateralDifferenceNPerMm, {
    abs: 1e-9,
    why: 'same solver twice',
  });
  const sum = comparison.terms.reduce((total, one) => total + one.lateralNPerMm, 0);
  near(sum, comparison.lateralDifferenceNPerMm, { abs: 1e-9, why: 'parts of the whole' });
  const shares = comparison.terms.reduce((total, one) => total + (one.sharePercent ?? 0), 0);
  near(shares, 100, { abs: 1e-6, why: 'percent of the whole' });
  const size = comparison.terms.find(({ term }) => term.startsWith('rim size'));
  assert.equal(size?.change, '300.0 mm → 290.0 mm');
  assert.ok(!comparison.terms.some(({ term }) => term.startsWith('spoke count')));
});

test('a wheel compared with itself differs in nothing', () => {
  const { comparison } = find(referenceWheel(3, 1000), { other: referenceWheel(3, 1000) });
  assert.deepEqual(comparison?.terms, []);
  near(comparison!.lateralDifferenceNPerMm, 0, { abs: 1e-9, why: 'the same wheel' });
});

test('a rim fitted to the bench gives the reading back, and predicts the next wheel with it', () => {
  // The "bench" is a wheel whose rim is 1.3 times as stiff as its sheet says; so is the next wheel's.
  const stiffer = (wheel: Wheel): Wheel => ({
    ...wheel,
    rim: {
      ...wheel.rim,
      iLateralM4: 1.3 * wheel.rim.iLateralM4,
      torsionM4: 1.3 * wheel.rim.torsionM4,
    },
  });
  const next = referenceWheel(0, 800);
  const benchLateralNPerMm = find(stiffer(referenceWheel(3, 1000))).lateralNPerMm;
  const { fit } = find(referenceWheel(3, 1000), { benchLateralNPerMm, other: next });
  assert.ok(fit);
  near(fit.rimFactor, 1.3, { rel: 1e-6, why: 'the bench is made with 1.3' });
  near(fit.lateralNPerMm, benchLateralNPerMm, { rel: 1e-8, why: 'fitted to it' });
  near(fit.predictedOtherNPerMm!, find(stiffer(next)).lateralNPerMm, {
    rel: 1e-6,
    why: 'same factor',
  });
});

test('springs of the bearings soften what a bench sees, not the wheel', () => {
  const wheel = referenceWheel(3, 1000);
  const held = find(wheel);
  assert.equal(held.onBearings, null);
  wheel.hub = {
    ...wheel.hub,
    bearingStiffness: { radialNPerM: 1e8, axialNPerM: 1e7, tiltNmPerRad: 2e4 },
  };
  const sprung = find(wheel);
  near(sprung.lateralNPerMm, held.lateralNPerMm, { rel: 1e-12, why: 'hub held in both' });
  assert.ok(sprung.onBearings!.lateralNPerMm < held.lateralNPerMm);
});

function refused(wheel: Wheel, questions: Parameters<typeof find>[1] = {}) {
  try {
    find(wheel, questions);
  } catch (error) {
    assert.ok(error instanceof LapbenchError, String(error));
    assert.ok(error.problems[0].remedy);
    return error.problems[0];
  }
  assert.fail('nothing was refused');
}

test('a wheel that cannot stand is refused: no tension, all radial under a disc, more than the rim bears', () => {
  const slack = referenceWheel(3, 1000);
  slack.spokes.left = { ...slack.spokes.left, meanTensionN: null };
  assert.equal(refused(slack).code, 'wheel-cannot-stand');
  assert.match(refused(slack).message, /No spoke is under tension/);
  const radial = { ...referenceWheel(0, 1000), discSide: 'left' as const };
  assert.match(refused(radial).message, /All spokes are radial/);
  assert.match(refused(referenceWheel(3, 20_000)).message, /gives way sideways/);
});

test('problems of the second wheel name it; a bench reading out of reach is refused', () => {
  const slack = { ...referenceWheel(3, 1000), name: 'slack one' };
  slack.spokes = {
    left: { ...slack.spokes.left, meanTensionN: null },
    right: slack.spokes.right,
  };
  assert.match(refused(referenceWheel(3, 1000), { other: slack }).message, /"slack one"/);
  assert.equal(refused(referenceWheel(3, 1000), { benchLateralNPerMm: 2000 }).code, 'wheel-fit');
});

test('a rim near folding is said', () => {
  const collapse = find(referenceWheel(3, 1000)).collapseTensionN!;
  const warned = find(referenceWheel(3, 0.8 * collapse)).warnings;
  assert.ok(warned.some(({ message }) => /Pretension takes/.test(message)));
});

const none = { sideN: 0, inwardN: 0, brakeNm: 0, atSpoke: 1 };

test('under a small load the wheel answers with its stiffness, and each spoke as its numbers for 1 N and 1 N m say', () => {
  const wheel = { ...referenceWheel(3, 1000), discSide: 'left' as const };
  const finding = find(wheel, { load: { ...none, sideN: 10, inwardN: 20 } });
  const under = finding.underLoad!;
  const alone = (load: Partial<typeof none>) =>
    find(wheel, { load: { ...none, ...load } }).underLoad!.atLoad;
  const why = 'linear until a spoke goes slack';
  near(10 / alone({ sideN: 10 }).leftMm, finding.lateralAtSpokeNPerMm, { rel: 1e-9, why });
  near(-20 / alone({ inwardN: 20 }).outwardMm, finding.radialAtSpokeNPerMm, { rel: 1e-9, why });
  near(
    under.spokes.map(({ changeN }) => changeN),
    finding.spokes.map((one) => 10 * one.deltaTensionPerSideN + 20 * one.deltaTensionPerRadialN),
    { abs: 1e-6, why },
  );
  assert.deepEqual(under.slackSpokes, []);
  assert.equal(under.rim.length, 32);
  assert.deepEqual(under.rim[0], under.atLoad);
  assert.ok(!finding.warnings.some(({ code }) => code === 'spokes-slack'));
  const braked = find(wheel, { load: { ...none, brakeNm: 40, atSpoke: 1.5 } }).underLoad!;
  const mean =
    braked.spokes.reduce((sum, { changeN }, i) => {
      const { underBraking } = finding.spokes[i];
      return sum + (underBraking === 'gains' ? changeN : -changeN);
    }, 0) / 32;
  const perNm = finding.spokes.reduce((sum, one) => sum + Math.abs(one.deltaTensionPerNm), 0) / 32;
  near(mean, 40 * perNm, {
    rel: 0.05,
    why: 'one place of the contact against the mean over a turn',
  });
  near(braked.load.positionDeg, 360 / 64, { rel: 1e-12, why: 'midway from spoke 1 to 2' });
});

test('past slack a warning names the spokes and the share of the load at which the first went', () => {
  const wheel = referenceWheel(3, 400);
  const tight = find(wheel, { load: { ...none, sideN: 50 } });
  const share = tight.underLoad!.firstSlackShare!;
  assert.ok(share > 1);
  const at = (factor: number): WheelFinding =>
    find(wheel, { load: { ...none, sideN: 50 * share * factor } });
  assert.deepEqual(at(0.999).underLoad!.slackSpokes, []);
  assert.ok(at(1.001).underLoad!.slackSpokes.length > 0);
  const past = at(1.5);
  const { slackSpokes, spokes } = past.underLoad!;
  assert.ok(slackSpokes.length > 0);
  for (const { spoke, slack, tensionN } of spokes) {
    assert.equal(slack, slackSpokes.includes(spoke));
    assert.ok(slack ? tensionN === 0 : tensionN > 0);
  }
  const warned = past.warnings.find(({ code }) => code === 'spokes-slack');
  assert.match(
    warned!.message,
    new RegExp(`spokes? ${slackSpokes.join(', ')} goe?s? slack, .* 67 %`),
  );
  assert.ok(
    past.underLoad!.atLoad.leftMm > 1.5 * at(1).underLoad!.atLoad.leftMm,
    'softer with slack spokes',
  );
});

test('a load between places, more than the wheel carries, or torque on a wheel all radial: refused', () => {
  const wheel = referenceWheel(3, 400);
  for (const atSpoke of [0.5, 33, 1.3]) {
    assert.equal(refused(wheel, { load: { ...none, sideN: 1, atSpoke } }).code, 'usage');
  }
  assert.ok(find(wheel, { load: { ...none, sideN: 1, atSpoke: 32.5 } }).underLoad);
  const radial = referenceWheel(0, 1000);
  assert.match(refused(radial, { load: { ...none, brakeNm: 1 } }).message, /All spokes are radial/);
});

test('the influence of the nipples is given in newtons and millimetres a turn', () => {
  const wheel = referenceWheel(3, 1000);
  assert.equal(find(wheel).influence, null);
  const { threadPitchMm, tensionPerTurnN, leftPerTurnMm, outwardPerTurnMm } = find(wheel, {
    influence: true,
  }).influence!;
  near(threadPitchMm, 25.4 / 56, { rel: 1e-12, why: 'the usual thread, common practice' });
  assert.equal(tensionPerTurnN.length, 32);
  // On fixed ends a turn would give E A p / L.
  const fixed = (210e9 * Math.PI * 1e-6 * 25.4e-3) / 56 / 0.294462;
  assert.ok(tensionPerTurnN[0][0] > 0.2 * fixed && tensionPerTurnN[0][0] < fixed);
  near(tensionPerTurnN[3][8], tensionPerTurnN[8][3], { rel: 1e-8, why: 'Maxwell-Betti' });
  // A left spoke pulls the rim to the left and in.
  assert.ok(leftPerTurnMm[0][0] > 0.01 && leftPerTurnMm[0][0] < 1);
  assert.ok(outwardPerTurnMm[0][0] < 0);
});

test('the bench’s interval goes through the fit to the next wheel; an end that no rim reaches is left open and said', () => {
  const wheel = referenceWheel(3, 1000);
  const other = referenceWheel(0, 800);
  const questions = { other, benchLateralNPerMm: 100 };
  const { fit } = find(wheel, { ...questions, benchLateralCi95: [96, 104] });
  const predicted = (benchLateralNPerMm: number) =>
    find(wheel, { other, benchLateralNPerMm }).fit!.predictedOtherNPerMm;
  assert.deepEqual(fit!.benchLateralCi95, [96, 104]);
  assert.deepEqual(fit!.predictedOtherCi95, [predicted(96), predicted(104)]);
  assert.ok(fit!.rimFactorCi95![0]! < fit!.rimFactor && fit!.rimFactorCi95![1]! > fit!.rimFactor);
  const open = find(wheel, { ...questions, benchLateralCi95: [96, 4000] });
  assert.equal(open.fit!.predictedOtherCi95![1], null);
  assert.ok(
    open.warnings.some(({ code, message }) => code === 'wheel-fit' && /4000/.test(message)),
  );
  assert.equal(find(wheel, questions).fit!.predictedOtherCi95, null);
});
