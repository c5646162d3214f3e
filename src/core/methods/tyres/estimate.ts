/** Two tyres under a rider: a range of pressures for each, under limits that nothing passes. */
import type { TyreOnRim, TyresSetup } from '../../evidence/index.ts';
import { LapbenchError, paToBar, paToPsi, type Problem } from '../../units/index.ts';
import { limitsOf, usualMinimumPa } from './limits.ts';
import type { TyresFinding, WheelTyre } from './result.ts';
import { wheelTyre } from './wheel-tyre.ts';

/** A tyres sheet, and what it came from. */
export interface TyresEvidence {
  setup: TyresSetup;
  inputs: { file: string; sha256: string }[];
}

type End = 'front' | 'rear';

const cautions = [
  'The maker’s word comes first: never above the maximum on tyre or rim, whichever is lower, never below the minimum, and only tyres that the rim’s maker and the tyre’s maker both allow on this rim. A straight-sided (hookless) rim takes tyres made for it, at 5 bar (72.5 psi) or less.',
  'A tyre that leaves its rim or strikes it can throw you. Check pressure before every ride with a gauge you trust (gauges differ by several percent), look for cuts and for beads that sit evenly, and ask a qualified mechanic when in doubt.',
  'Pressure grows with warmth, by about 7 % of pressure plus one bar for 20 °C: leave that room below the limit before a hot day, a car in the sun or a long braked descent on rim brakes.',
  'The range is a beginning for trying, not a measurement: go in small steps on a road without traffic to speak of.',
];

/** Loads to the rim below which a pinched tube or struck rim is said to be near: assumed, no source. */
const leastLoadsToRim = 3;

/**
 * Range, limits, drop, stiffness and fit of both tyres.
 *
 * @throws LapbenchError `pressure-above-limit` when a tyre is said to hold more than it may; `sheet-field`
 * when a rim is not narrower than its tyre.
 */
export function estimateTyres({ setup, inputs }: TyresEvidence): TyresFinding {
  const refused = [...refusals('front', setup.front), ...refusals('rear', setup.rear)];
  if (refused.length > 0) throw new LapbenchError(refused);
  const load = (share: number) => ({
    massKg: setup.massKg,
    massStandardUncertaintyKg: setup.massStandardUncertaintyKg,
    share,
    shareStandardUncertainty: setup.frontShareStandardUncertainty,
  });
  const front = wheelTyre(setup.front, load(setup.frontShare), setup);
  const rear = wheelTyre(setup.rear, load(1 - setup.frontShare), setup);
  const { title, invented, massKg, frontShare, surface, aim } = setup;
  return {
    schema: 'lapbench/tyres@1',
    title,
    invented,
    massKg,
    frontShare,
    surface,
    aim,
    front,
    rear,
    onChange: changeInWords(surface === 'smooth'),
    warnings: [
      ...sayOf('front', setup.front, front, surface === 'gravel'),
      ...sayOf('rear', setup.rear, rear, surface === 'gravel'),
    ],
    cautions,
    method: 'tyres 1',
    inputs,
  };
}

function refusals(end: End, wheel: TyreOnRim): Problem[] {
  const width = wheel.measuredWidthM ?? wheel.designatedWidthM;
  if (!(wheel.rimInnerWidthM < width)) {
    return [
      {
        code: 'sheet-field',
        place: { field: `${end}.rim.innerWidthMm` },
        message: `The ${end} rim is ${mm(wheel.rimInnerWidthM)} mm wide inside and its tyre ${mm(width)} mm: a rim is narrower than its tyre.`,
        remedy: 'Give the inner width, between the flanges, and the width of the inflated tyre.',
      },
    ];
  }
  const [limit] = limitsOf(wheel);
  if (wheel.pressurePa !== null && wheel.pressurePa > limit.pressurePa * (1 + 1e-9)) {
    return [
      {
        code: 'pressure-above-limit',
        place: { field: `${end}.pressureBar` },
        message: `The ${end} tyre is said to hold ${inBar(wheel.pressurePa)}; the ${limit.of}’s maximum here is ${inBar(limit.pressurePa)}.`,
        remedy:
          'Let air out before anybody stands over it or rides it, then write what is in it; or correct the number.',
      },
    ];
  }
  return [];
}

function sayOf(end: End, wheel: TyreOnRim, found: WheelTyre, offRoad: boolean): Problem[] {
  const said: Problem[] = [];
  const say = (code: Problem['code'], field: string, message: string, remedy: string): void =>
    void said.push({ code, place: { field: `${end}.${field}` }, message, remedy });
  const pair = `The ${end} tyre of ${mm(wheel.designatedWidthM)} mm on a rim of ${mm(wheel.rimInnerWidthM)} mm inside`;
  if (found.fit.verdict !== 'within') {
    const words = {
      disputed: 'is taken by one rule and not by another',
      outside: 'is outside the rules at hand',
      'not covered': 'is not covered by the tables at hand',
    }[found.fit.verdict];
    say(
      'tyre-rim-fit',
      'rim.innerWidthMm',
      `${pair} ${words}.`,
      wheel.hookless && found.fit.verdict === 'outside'
        ? 'Do not ride it: take a tyre and a rim that go together.'
        : 'Ride it only if the makers of both tyre and rim name this pair as allowed.',
    );
  }
  if (wheel.rimMaximumPa === null) {
    say(
      'limit-unknown',
      'rim',
      `The ${end} rim’s maximum pressure is not given; the hard limit is without it.`,
      'Look for it on the rim, its label or its manual, and add maximumBar.',
    );
  }
  if (wheel.measuredWidthM === null) {
    say(
      'channel-missing',
      'tyre',
      `The ${end} tyre’s width was not measured; its designation is taken.`,
      'Measure it across, inflated and mounted, and add measuredWidthMm: tyres differ from their name by a millimetre or two.',
    );
  }
  if (found.withheld !== null) {
    say(
      'pressure-withheld',
      'tyre',
      `No pressure is recommended for the ${end} wheel. ${found.withheld}`,
      'Choose another tyre or rim.',
    );
    return said;
  }
  const usual = usualMinimumPa(wheel.designatedWidthM, offRoad);
  const [low] = found.recommendedBar!;
  if (wheel.tyreMinimumPa === null && low < paToBar(usual)) {
    say(
      'pressure-low',
      'tyre',
      `The low end of the ${end} range, ${low.toFixed(1)} bar, is below the ${paToBar(usual)} bar that an older edition of ISO 5775-1 is said to mark as least for such a tyre.`,
      'Read the minimum on the tyre’s sidewall and add minimumBar; do not go below it.',
    );
  }
  const now = wheel.pressurePa;
  if (now !== null) {
    const row = found.pressures.find(({ at }) => at === 'now');
    if (wheel.tyreMinimumPa !== null && now < wheel.tyreMinimumPa) {
      say(
        'pressure-low',
        'pressureBar',
        `The ${end} tyre holds ${inBar(now)}, less than its own minimum of ${inBar(wheel.tyreMinimumPa)}.`,
        'Pump it up before riding.',
      );
    } else if (row === undefined || row.loadsToRim < leastLoadsToRim) {
      say(
        'pressure-low',
        'pressureBar',
        `At ${inBar(now)} the ${end} tyre is near its rim: ${row === undefined ? 'little more than its load presses it there' : `${row.loadsToRim.toFixed(1)} times its load presses it there`}.`,
        'Pump it up before riding: a bump can pinch the tube, strike the rim or throw the tyre off.',
      );
    }
  }
  return said;
}

function changeInWords(smooth: boolean): string[] {
  return [
    smooth
      ? 'Rolling resistance on smooth asphalt falls with pressure as p^−n with n about 0.4 (Lim et al. 2011: 5.575 N at 414 kPa, 4.215 N at 828 kPa), shown as a band for n from 0.1 to 0.8.'
      : 'What a pressure does to rolling resistance is not said for this surface: on rough ground the least resistance lies at some middle pressure that moves with roughness, speed and rider, and no number for it was found that holds for a stranger’s road. Its sign is not known here.',
    'Comfort: shaking and what it costs rest on the vertical stiffness of the whole bicycle and the road’s roughness (Turner 2024). The tyre is one spring of several in a row, so the bicycle’s stiffness changes by less than the tyre’s.',
  ];
}

const mm = (metres: number): string => String(Number((1000 * metres).toFixed(1)));
const inBar = (pa: number): string =>
  `${paToBar(pa).toFixed(2)} bar (${paToPsi(pa).toFixed(1)} psi)`;
