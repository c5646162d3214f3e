import assert from 'node:assert/strict';
import test from 'node:test';
import fc from 'fast-check';
import { wheelMechanics } from '../../../../src/core/structure/index.ts';
import { hearingOf } from '../../../../src/core/methods/brake-noise/hearing.ts';
import { near } from '../../../near.ts';
import { crossedWheel, find, howl, oddsOf, pluck, rideDown, spokesOdds, tone } from './howls.ts';

const wheel = crossedWheel();
const curves = find({ wheel }).curves;
const discSpoke = (underBraking: 'gains' | 'loses') =>
  curves.find((one) => one.discSide === true && one.underBraking === underBraking)!;
const pitchAt = ({ torqueNm, hz }: (typeof curves)[number], torque: number): number => {
  const i = Math.min(torqueNm.length - 2, Math.floor(torque / 5));
  return hz[i] + ((torque - torqueNm[i]) / 5) * (hz[i + 1] - hz[i]);
};
/** Plucks of all spokes as the wheel computes them. */
const plucked = [
  {
    file: 'plucks.wav',
    brakeTorqueNm: 0,
    spokes: null,
    plucks: curves.map(({ hz }, i) => pluck(i, hz[0])),
  },
];
const everything = { wheel, sessions: plucked, wheelSpeed: rideDown(), brakeTorqueNm: 40 };

test('a tone that falls with braking as a spoke that loses tension does: that spoke', () => {
  const spoke = discSpoke('loses');
  const finding = find({ ...everything, tracks: howl((torque) => pitchAt(spoke, 40 * torque)) });
  const [first] = finding.explanations;
  assert.equal(first.id, 'spokes-losing-disc-side');
  assert.ok(first.odds > 0.9, `odds ${first.odds}`);
  near(first.predictedHz[0], pitchAt(spoke, 40), { rel: 0.02, why: 'mean torque differs from 40' });
  assert.match(first.why, /For it: the pitch falls as the braking gets harder/);
});

test('a tone that rises with braking as a spoke that gains tension does: that spoke', () => {
  const spoke = discSpoke('gains');
  const finding = find({ ...everything, tracks: howl((torque) => pitchAt(spoke, 40 * torque)) });
  assert.equal(finding.explanations[0].id, 'spokes-gaining-disc-side');
  assert.ok(finding.explanations[0].odds > 0.9);
});

test('the same pitch without any change under braking is not that spoke', () => {
  const mean = pitchAt(discSpoke('loses'), 40);
  const finding = find({ ...everything, tracks: howl(() => mean) });
  assert.ok(oddsOf(finding, 'spokes-losing-disc-side') < 0.05);
});

test('a squeal at 1 kHz whatever torque and speed: the brake unit', () => {
  const finding = find({ ...everything, tracks: howl(() => 1000) });
  assert.equal(finding.explanations[0].id, 'brake-unit-squeal');
  assert.ok(finding.explanations[0].odds > 0.75);
  assert.match(finding.explanations[0].why, /stays as the braking gets harder/);
});

test('a tone of 36 cycles a turn of a wheel that slows: what passes with the wheel', () => {
  const speed = rideDown();
  const turnsAt = (t: number): number => {
    const i = Math.min(speed.timeS.length - 2, Math.floor(t));
    return speed.wheelHz[i] + (t - i) * (speed.wheelHz[i + 1] - speed.wheelHz[i]);
  };
  const finding = find({ ...everything, tracks: howl((_, t) => 36 * turnsAt(t)) });
  assert.equal(finding.explanations[0].id, 'turning-with-the-wheel');
  assert.ok(finding.explanations[0].odds > 0.95);
  assert.match(finding.explanations[0].why, /follows the speed of the wheel/);
});

test('a tone that sounds at any time and wanders is none of these', () => {
  const tracks = [1, 10, 19, 30, 41, 50].map((t, i) => tone(t, t + 2.5, () => 1700 + 25 * (i % 3)));
  const finding = find({ ...everything, tracks });
  assert.equal(finding.explanations[0].id, 'none-of-these');
  assert.match(finding.explanations[0].why, /sounds while nobody brakes/);
});

test('32 spokes spread over 20 % always have one near a tone: its nearness earns nothing', () => {
  const spread = Array.from({ length: 32 }, (_, i) => 660 * 1.2 ** (i / 31));
  const sessions = [
    {
      file: 'plucks.wav',
      brakeTorqueNm: 0,
      spokes: null,
      plucks: spread.map((_, i) => pluck(i, spread[(i * 11) % 32])),
    },
  ];
  const sorted = [...spread].sort((a, b) => a - b);
  const on = find({ sessions, tracks: [tone(0, 3, () => sorted[16])] });
  const between = find({
    sessions,
    tracks: [tone(0, 3, () => Math.sqrt(sorted[16] * sorted[17]))],
  });
  near(spokesOdds(on), spokesOdds(between), { abs: 0.05, why: 'only nearness differs' });
  for (const { id, odds } of on.explanations)
    if (id.startsWith('spokes')) assert.ok(odds < 0.7, `${id} ${odds}`);
  const [likely] = on.explanations.filter(({ id }) => id.startsWith('spokes'));
  assert.ok(likely.byChance !== null && likely.byChance > 0.04, `by chance ${likely.byChance}`);
});

test('one spoke alone near the tone says more than one of 32 spread about it', () => {
  const at = (pitches: number[]) =>
    find({
      sessions: [
        {
          file: 'plucks.wav',
          brakeTorqueNm: 0,
          spokes: pitches.map((_, i) => 2 * i + 1),
          plucks: pitches.map((hz, i) => pluck(i, hz)),
        },
      ],
      brakeTorqueNm: 5,
      tracks: [tone(0, 3, () => 720)],
    });
  const spread = Array.from({ length: 32 }, (_, i) => 500 * 2 ** (i / 31));
  assert.ok(spokesOdds(at([720])) > spokesOdds(at(spread)));
});

test('the further a plucked spoke lies from the tone, the lower the odds of spokes', () => {
  const odds = [0, 0.08, 0.2, 0.4].map((off) =>
    spokesOdds(
      find({
        wheelSpeed: rideDown(),
        sessions: [
          { file: 'p.wav', brakeTorqueNm: 0, spokes: [1], plucks: [pluck(0, 700 * (1 + off))] },
        ],
        tracks: howl(() => 700),
      }),
    ),
  );
  // Odds below one in ten million are as good as none: their order is not looked at.
  for (let i = 1; i < odds.length; i++) assert.ok(odds[i] <= odds[i - 1] + 1e-7, odds.join(' '));
});

test('the nearer to 1 kHz, the more a steady tone is the brake’s squeal', () => {
  const odds = [2600, 2000, 1600, 1300].map((hz) =>
    oddsOf(find({ wheelSpeed: rideDown(), tracks: howl(() => hz) }), 'brake-unit-squeal'),
  );
  for (let i = 1; i < odds.length; i++) assert.ok(odds[i] > odds[i - 1], odds.join(' '));
});

test('odds of any tones add up to one, each from 0 to 1, most likely first', () => {
  const anyTone = fc.record({
    from: fc.double({ min: 0, max: 50, noNaN: true }),
    lasts: fc.double({ min: 0.5, max: 9, noNaN: true }),
    hz: fc.double({ min: 90, max: 5000, noNaN: true }),
    glide: fc.double({ min: -0.05, max: 0.05, noNaN: true }),
  });
  fc.assert(
    fc.property(fc.array(anyTone, { minLength: 1, maxLength: 6 }), fc.boolean(), (all, ride) => {
      const tracks = all.map(({ from, lasts, hz, glide }) =>
        tone(from, from + lasts, (t) => hz * Math.exp(glide * (t - from))),
      );
      const { explanations } = find({
        tracks,
        sessions: [
          {
            file: 'p.wav',
            brakeTorqueNm: 0,
            spokes: [1, 2],
            plucks: [pluck(0, 400), pluck(1, 430)],
          },
        ],
        wheelSpeed: ride ? rideDown() : null,
      });
      near(
        explanations.reduce((sum, { odds }) => sum + odds, 0),
        1,
        { abs: 1e-9, why: 'rounding' },
      );
      explanations.forEach(({ odds }, i) => {
        assert.ok(odds >= 0 && odds <= 1);
        if (i > 0) assert.ok(odds <= explanations[i - 1].odds);
      });
    }),
    { seed: 4, numRuns: 25 },
  );
});

test('tones that sound at once are grouped, since one thing cannot make both; successive ones are not', () => {
  const { tones } = find({
    tracks: [tone(5, 8, () => 500), tone(6, 9, () => 520), tone(9.5, 12, () => 500)],
  });
  const { heard } = hearingOf(tones, null, null, 60);
  const [first, second, third] = heard.map(({ group }) => group);
  assert.equal(first, second);
  assert.notEqual(first, third);
});

test('the wheel’s own change of tension is what its curves follow', () => {
  const { spokes } = wheelMechanics(wheel);
  for (const curve of curves.slice(0, 4)) {
    const own = spokes.find((one) => one.spoke === curve.spoke)!;
    const i = curve.torqueNm.indexOf(40);
    near(curve.tensionN![i], own.tensionN + 40 * own.deltaTensionPerNm, {
      rel: 1e-12,
      why: 'same sum',
    });
  }
});
