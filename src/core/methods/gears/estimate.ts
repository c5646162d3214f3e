/** A bicycle's gears in order, and what climbs ask of them. */
import type { GearsSetup } from '../../evidence/index.ts';
import { mpsToKmh, type Problem } from '../../units/index.ts';
import { climbRow } from './climb.ts';
import { allGears, overlapPercent, speedAtCadenceMps, stepPercent, type Gear } from './model.ts';
import { compare, valueOf } from './ratio.ts';
import type { ChainringSpan, ClimbRow, GearRow, GearsFinding } from './result.ts';

/** A gears sheet, and what it came from. */
export interface GearsEvidence {
  setup: GearsSetup;
  inputs: { file: string; sha256: string }[];
}

const cautions = [
  'Whether derailleurs, freewheel body and chain take these sprockets, this difference of chainrings and this chain capacity is the makers’ word: see largest sprocket, capacity and difference in their tables, and let a qualified mechanic set chain length and stops. A chain too short for its largest pair can tear off parts while riding.',
  'Climbs are computed steady, seated and in still air on a dry road; on very steep ground a wheel may slip or lift, and a rider may have to stop where unclipping is hard. Try it where there is no traffic to speak of.',
];

/** Below this a rider may no longer balance: assumed, no source. */
const slowestKmh = 5;

/** Table of gears, spans of the chainrings, and climbs where the sheet gives them. */
export function estimateGears({ setup, inputs }: GearsEvidence): GearsFinding {
  const { chainrings, cassette, circumferenceUm, cadenceRpm, rider } = setup;
  const gears = allGears(chainrings, cassette, circumferenceUm);
  const metres = circumferenceUm / 1e6;
  const half = 1.959964 * setup.circumferenceStandardUncertaintyM;
  const climbs =
    rider === null
      ? []
      : setup.climbs.map((climb) =>
          climbRow(climb, rider, gears, {
            valueM: metres,
            standardUncertaintyM: setup.circumferenceStandardUncertaintyM,
          }),
        );
  const gradients = climbs.map(({ gradientPercent }) => gradientPercent);
  const spread = (teeth: readonly number[]): number => Math.max(...teeth) - Math.min(...teeth);
  return {
    schema: 'lapbench/gears@1',
    title: setup.title,
    invented: setup.invented,
    chainrings: [...chainrings],
    cassette: [...cassette],
    circumferenceM: metres,
    circumferenceMCi95: [metres - half, metres + half],
    circumferenceFrom: setup.circumferenceFrom,
    cadenceRpm,
    circumferenceCi95Percent: (100 * half) / metres,
    gears: gears.map((gear, i) => rowOf(gear, i, gears, cadenceRpm)),
    rings: spans(gears),
    rangePercent: 100 + stepPercent(gears[0].ratio, gears[gears.length - 1].ratio),
    distinctRatios: gears.filter(
      (gear, i) => i === 0 || compare(gear.ratio, gears[i - 1].ratio) !== 0,
    ).length,
    chainCapacityTeeth: spread(chainrings) + spread(cassette),
    climbs,
    steepest: climbs.length === 0 ? null : gradients.indexOf(Math.max(...gradients)),
    warnings: climbs.flatMap((climb, i) => sayOf(climb, i, rider?.leastCadenceRpm ?? 0)),
    cautions,
    method: 'gears 1',
    inputs,
  };
}

function rowOf(gear: Gear, i: number, gears: readonly Gear[], cadenceRpm: number): GearRow {
  const same = (other: Gear): boolean => compare(other.ratio, gear.ratio) === 0;
  // Easiest first, so the next larger sprocket of the ring is the last one of it before this gear.
  const before = gears.slice(0, i).findLast(({ chainring }) => chainring === gear.chainring);
  return {
    chainring: gear.chainring,
    sprocket: gear.sprocket,
    ratio: { ...gear.ratio, value: valueOf(gear.ratio) },
    developmentM: valueOf(gear.developmentM),
    speedKmh: mpsToKmh(speedAtCadenceMps(gear.developmentM, cadenceRpm)),
    stepPercent: i === 0 ? null : stepPercent(gears[i - 1].ratio, gear.ratio),
    sprocketStepPercent: before === undefined ? null : stepPercent(before.ratio, gear.ratio),
    repeated: gears.filter(same).length > 1,
  };
}

function spans(gears: readonly Gear[]): ChainringSpan[] {
  const rings = [...new Set(gears.map(({ chainring }) => chainring))].sort((a, b) => a - b);
  const own = rings.map((ring) => gears.filter(({ chainring }) => chainring === ring));
  return own.map((mine, i) => {
    const lowest = mine[0].ratio;
    const highest = mine[mine.length - 1].ratio;
    const larger = own.at(i + 1);
    return {
      chainring: rings[i],
      lowestRatio: valueOf(lowest),
      highestRatio: valueOf(highest),
      overlapPercent:
        larger === undefined
          ? null
          : overlapPercent({ lowest, highest }, { lowest: larger[0].ratio }),
      gearsRepeated:
        larger === undefined
          ? null
          : larger.filter(({ ratio }) => compare(ratio, highest) <= 0).length,
    };
  });
}

function sayOf(climb: ClimbRow, i: number, least: number): Problem[] {
  const place = { field: `climbs.${i}.gradientPercent` };
  const { chainring, sprocket } = climb.easiestGear;
  const hill = `${Number(climb.gradientPercent.toFixed(1))} % for ${climb.lengthM} m`;
  const said: Problem[] = [];
  if (climb.verdict !== 'turns') {
    said.push({
      code: 'gear-too-hard',
      place,
      message: `On ${hill} the easiest gear, ${chainring} by ${sprocket}, ${climb.verdict === 'too hard' ? 'turns' : 'may turn'} slower than ${least} a minute at the rider’s power: about ${climb.cadenceRpm.toFixed(0)}.`,
      remedy: `A ratio of ${climb.neededRatio.toFixed(2)} would keep it, with the smallest chainring a sprocket of ${climb.neededSprocket}; ask the maker whether that fits.`,
    });
  }
  if (climb.speedKmh < slowestKmh) {
    said.push({
      code: 'gear-too-hard',
      place,
      message: `On ${hill} the rider’s power gives ${climb.speedKmh.toFixed(1)} km/h, at which balance is hard to keep in any gear.`,
      remedy: 'Reckon with walking there.',
    });
  }
  return said;
}
