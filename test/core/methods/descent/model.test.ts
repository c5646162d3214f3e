/** One brake against closed forms and against SciPy's solver. */
import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import test from 'node:test';
import {
  heatTable,
  temperatureOf,
  heatOf,
} from '../../../../src/core/methods/descent/heat-content.ts';
import {
  brakeAt,
  caliperC,
  carrierC,
  padsC,
  stepBrake,
  storedJ,
  trackC,
  type BrakeState,
} from '../../../../src/core/methods/descent/model.ts';
import type { BrakeBody } from '../../../../src/core/methods/descent/parts.ts';
import { near } from '../../../near.ts';

type Numbers = Omit<BrakeBody, 'trackTable' | 'carrierTable' | 'weighed' | 'core'>;

interface Reference {
  bodies: Record<string, Numbers>;
  steadyC: number;
  cases: {
    name: string;
    body: string;
    airC: number;
    startC?: number;
    forcedWPerM2K: number;
    emissivity: number;
    powers: [number, number, number][];
    untilS: number;
    atS: number[];
    temperaturesC: number[][];
  }[];
}

const reference = JSON.parse(
  fs.readFileSync(
    path.resolve(import.meta.dirname, '../../../fixtures/methods/descent-heat.json'),
    'utf8',
  ),
) as Reference;

const body = (numbers: Numbers): BrakeBody => ({
  ...numbers,
  trackTable: heatTable(numbers.track),
  carrierTable: heatTable(numbers.carrier),
  weighed: true,
  core: numbers.track.aluminiumKg > 0,
});

const guess = { emissivity: 0.5, massFactor: 1, padFactor: 1, carrierFactor: 1 };

/** A track alone: nothing led away, one body. */
const alone = (numbers: Partial<Numbers>): BrakeBody =>
  body({
    ...reference.bodies.steel,
    armsM: 0,
    rivetsWPerK: 0,
    padsWPerK: 0,
    padShare: 0,
    ...numbers,
  });

const temperatures = (state: BrakeState): number[] => [
  trackC(state),
  carrierC(state),
  padsC(state),
  caliperC(state),
];

for (const one of reference.cases) {
  test(`${one.name}: every node within 0.3 K of SciPy`, () => {
    const made = body(reference.bodies[one.body]);
    const start = one.startC ?? one.airC;
    const state = brakeAt(made, { ...guess, emissivity: one.emissivity }, one.airC, {
      trackC: start,
      carrierC: start,
      padsC: start,
      caliperC: start,
    });
    const powerAt = (time: number): number =>
      one.powers.find(([from, to]) => time >= from && time < to)?.[2] ?? 0;
    const found: number[][] = [];
    const dtS = 0.5;
    for (let i = 0; i < one.untilS / dtS; i++) {
      stepBrake(state, dtS, powerAt(i * dtS + 1e-9), one.forcedWPerM2K);
      if (one.atS.includes((i + 1) * dtS)) found.push(temperatures(state));
    }
    near(found.flat(), one.temperaturesC.flat(), {
      abs: 0.3,
      why: 'steps of 0.5 s here, 1e-9 there; the table of heat contents is good to 0.05 K where melting begins and ends',
    });
  });
}

test('before cooling tells, 500 W for 60 s warm 120 g of steel by the height of its heat content', () => {
  const state = brakeAt(
    alone({ track: { steelKg: 0.12, aluminiumKg: 0 }, trackAreaM2: 0 }),
    guess,
    20,
  );
  for (let i = 0; i < 60; i++) stepBrake(state, 1, 500, 0);
  // With a constant 460 J/(kg K) the reference table says 543.5 K; steel that takes more heat as it warms rises less.
  const risen = trackC(state) - 20;
  near(
    heatOf({ steelKg: 0.12, aluminiumKg: 0 }, 20 + risen) -
      heatOf({ steelKg: 0.12, aluminiumKg: 0 }, 20),
    30_000,
    {
      rel: 1e-5,
      why: 'adiabatic: all of P·t is in the steel',
    },
  );
  assert.ok(risen < 543.5 && risen > 0.8 * 543.5, `${risen}`);
});

test('lumped step: 500 W into 55.2 J/K with 1.8 W/K: 193.34, 258.51, 292.23 °C after 30, 60, 120 s', () => {
  // The caliper's node has a constant heat capacity, as the closed form asks: m·c = 0.120 · 460.
  const made = alone({ padsJPerK: 55.2, padsAreaM2: 1.8 / 60, padShare: 1, caliperWPerK: 0 });
  const state = brakeAt(made, { ...guess, emissivity: 0 }, 20);
  const found: number[] = [];
  for (let i = 1; i <= 240; i++) {
    stepBrake(state, 0.5, 500, 60);
    if ([60, 120, 240].includes(i)) found.push(padsC(state));
  }
  near(found, [193.34, 258.51, 292.23], {
    abs: 0.02,
    why: 'table of reference values, closed form',
  });
});

test('with radiation a track under 500 W settles at 274.4 °C', () => {
  const made = alone({ trackAreaM2: 0.03, track: { steelKg: 0.12, aluminiumKg: 0 } });
  const state = brakeAt(made, { ...guess, emissivity: 0.3 }, 20);
  for (let i = 0; i < 1200; i++) stepBrake(state, 1, 500, 60);
  near(trackC(state), 274.4, { abs: 0.2, why: 'table of reference values' });
  near(trackC(state), reference.steadyC, { abs: 0.02, why: 'SciPy brentq' });
});

test('without power a brake at the temperature of the air stays there, and heat is neither lost nor made', () => {
  const made = body(reference.bodies.layered);
  const still = brakeAt(made, guess, 15);
  for (let i = 0; i < 100; i++) stepBrake(still, 1, 0, 30);
  near(temperatures(still), [15, 15, 15, 15], {
    abs: 1e-4,
    why: 'nothing drives it; the table is straight between its places',
  });
  const state = brakeAt(made, guess, 15);
  for (let i = 0; i < 300; i++) stepBrake(state, 1, i < 200 ? 700 : 0, 40);
  const [air, light, hub] = state.heatJ.slice(4);
  near(storedJ(state, 15) + air + light + hub, 140_000, {
    rel: 1e-4,
    why: 'energy: 700 W for 200 s; stored from temperatures alone',
  });
});

test('a core of 10 g melts between 582 and 660 °C and takes 397 kJ/kg on the way', () => {
  const core = { steelKg: 0, aluminiumKg: 0.01 };
  const table = heatTable(core);
  const before = heatOf(core, 582);
  near(temperatureOf(table, before), 582, { abs: 0.3, why: 'table of 4096 places' });
  near(temperatureOf(table, before + 0.01 * 397e3), 649, {
    abs: 8,
    why: 'solidus 582, liquidus 660 °C',
  });
});

test('OpenStax College Physics, example 14.2: a truck’s 10,000 kg down 75 m warm 100 kg of brake by 92 K', () => {
  // Constant heat capacity in that example: 800 J/(kg K). Read in a transcription of the open textbook.
  const made = alone({ padsJPerK: 100 * 800, padsAreaM2: 0, padShare: 1, caliperWPerK: 0 });
  const state = brakeAt(made, guess, 20);
  const heat = 10_000 * 9.8 * 75;
  for (let i = 0; i < 100; i++) stepBrake(state, 1, heat / 100, 0);
  near(padsC(state) - 20, 92, { abs: 0.5, why: 'the book rounds to 92' });
});
