/** Tensions, sides and the plan of turns of one wheel from its spoke readings. */
import type { BySide, SpokeReading, Wheel } from '../../evidence/index.ts';
import { mean } from '../../statistics/index.ts';
import { beamFrequencyHz, clampedEnds, type TensionedBeam } from '../../structure/index.ts';
import { LapbenchError, type Problem } from '../../units/index.ts';
import { balanceOf, type Balance, type BalanceAims, type TruenessLimits } from './balance.ts';
import { gaugeCurves, type GaugeTable } from './gauge.ts';
import { bothSides, meanTensionN, pooledRepeatability, type ReadSpoke } from './model.ts';
import {
  beamsOf,
  findEnds,
  pitchCondition,
  pitchTensionN,
  refuseOctaves,
  shiftedEnds,
  type FoundEnds,
  type KnownSpoke,
} from './pitch.ts';
import {
  missingSpokes,
  newtonsPer,
  refuseContradictions,
  refuseMaximumUnit,
  refuseOtherWheel,
  refuseUnit,
  sayMissing,
  sayOddSides,
  tighterSide,
  type TensionUnit,
} from './plausible.ts';
import { cautions, sayEnds, sayMaximum, sayRatio, sayRepeats, saySlack } from './remarks.ts';
import type { GaugeRange, PitchCondition, SideTension, TensionFinding } from './result.ts';
import { ratioOf, sideOf, spokesOf, type OtherTensions } from './sides.ts';

/** What was read, what it is, and what it is held against. */
export interface TensionEvidence {
  readings: readonly SpokeReading[];
  as: 'tension' | 'gauge' | 'pitch';
  /** What tensions in the readings, or in the gauge's table, are written in; null: newtons, asked where in doubt. */
  unit: TensionUnit | null;
  /** For `gauge`. */
  calibration: GaugeTable | null;
  /** Which kind of spoke of that table. */
  spokeType: string | null;
  /** Percent of the side's mean; null: the usual one. */
  tolerancePercent: number | null;
  /** The maker's, the lower of rim's and spokes'. */
  maximumN: number | null;
  /** For `pitch`: spokes whose tension is known. */
  known: readonly KnownSpoke[];
  /** For `pitch`, the demanded ratio and the plan of turns. */
  wheel: Wheel | null;
  limits: TruenessLimits;
  inputs: { file: string; sha256: string }[];
}

/** Common practice, no source. */
const usualTolerancePercent = 20;

/** Readings as tensions. */
interface Converted {
  spokes: ReadSpoke[];
  pitch: PitchCondition | null;
  gauge: GaugeRange[] | null;
  /** Under the other calibration, where the one used is not sure. */
  other: OtherTensions | null;
  warnings: Problem[];
}

/**
 * Per side mean, spread, worst and runs; the ratio of the sides against the one that geometry demands; the
 * fewest nipple turns that bring every spoke inside.
 *
 * @throws LapbenchError where the readings cannot be trusted; see docs/methods/tension.md
 */
export function estimateTension(evidence: TensionEvidence): TensionFinding {
  const { readings, wheel } = evidence;
  checkOptions(evidence);
  if (new Set(readings.map(({ spoke }) => spoke)).size < 3) {
    throw new LapbenchError({
      code: 'readings-too-few',
      message: 'Fewer than three spokes are read: there is no mean to hold them against.',
      remedy: 'Read every spoke, round the rim from the valve.',
    });
  }
  if (wheel) refuseOtherWheel(readings, wheel);
  const missing = missingSpokes(readings, wheel);
  const converted = convert(evidence);
  const { spokes, pitch, other } = converted;
  refuseContradictions(spokes, missing);
  refuseSlackSides(spokes);
  refuseMaximumUnit(evidence.maximumN, meanTensionN(spokes));

  const repeatability = pooledRepeatability(spokes);
  const tolerancePercent = evidence.tolerancePercent ?? usualTolerancePercent;
  // Where the scale itself is not sure the upper end of it must stay below the maximum.
  const scale = other?.kind === 'bound' ? mean(other.tensionsN) / meanTensionN(spokes) : 1;
  const limitN = evidence.maximumN === null ? null : evidence.maximumN / Math.max(1, scale);
  const found = spokesOf(spokes, tolerancePercent, limitN);
  const uncertainty = { repeatability, other };
  const sides = bothSides.flatMap((side): SideTension[] => {
    const one = sideOf(side, spokes, found, tolerancePercent, uncertainty);
    return one === null ? [] : [one];
  });
  const ratio = ratioOf(spokes, wheel, uncertainty);
  const { plan, reason } = balanceFor(evidence, missing, spokes, {
    tolerance: tolerancePercent / 100,
    maximumN: limitN,
    limits: evidence.limits,
  });
  return {
    schema: 'lapbench/tension@1',
    as: evidence.as,
    spokes: found,
    sides,
    tolerance: {
      percent: tolerancePercent,
      source:
        evidence.tolerancePercent === null ? 'common practice, no source' : 'as given, the maker’s',
    },
    maximumN: evidence.maximumN,
    ratio,
    pitch,
    gauge: converted.gauge,
    missing,
    balance: plan,
    balanceReason: reason,
    repeatabilityN: repeatability?.standardDeviationN ?? null,
    readings: readings.length,
    warnings: [
      ...sayMaximum(found, evidence.maximumN, limitN),
      ...saySlack(found),
      ...sayMissing(missing, wheel),
      ...(wheel ? [] : sayOddSides(readings)),
      ...converted.warnings,
      ...(pitch ? sayEnds(pitch) : []),
      ...sayRatio(ratio, missing.length === 0),
      ...sayRepeats(repeatability),
    ],
    cautions,
    method: 'tension 1',
    inputs: evidence.inputs,
  };
}

function checkOptions({ tolerancePercent, maximumN, known, limits }: TensionEvidence): void {
  const refuse = (message: string, remedy: string): never => {
    throw new LapbenchError({ code: 'usage', message, remedy });
  };
  if (tolerancePercent !== null && !(tolerancePercent > 0 && tolerancePercent < 100))
    refuse(`A tolerance of ${tolerancePercent} % is none.`, 'Give percent, above 0 and below 100.');
  if (maximumN !== null && !(maximumN > 0 && Number.isFinite(maximumN)))
    refuse(`A maximum tension of ${maximumN} N is none.`, 'Give newtons, above zero.');
  for (const one of known) {
    if (!(one.tensionN > 0) || !((one.standardUncertaintyN ?? 0) >= 0))
      refuse(
        `The known tension of spoke ${one.spoke}, ${one.tensionN} N, is none.`,
        'Give newtons, above zero.',
      );
  }
  if (!(limits.lateralM > 0 && limits.radialM > 0))
    refuse('A limit of trueness of zero allows no turn.', 'Give millimetres, above zero.');
}

function convert(evidence: TensionEvidence): Converted {
  if (evidence.as === 'gauge') return fromGauge(evidence);
  if (evidence.as === 'pitch') return fromPitch(evidence);
  const { readings, unit } = evidence;
  const factor = newtonsPer[unit ?? 'N'];
  refuseUnit(
    tighterSide(readings).map((reading) => reading * factor),
    unit,
    'readings',
  );
  const spokes = spokesFrom(readings, (_, reading) => reading * factor);
  return { spokes, pitch: null, gauge: null, other: null, warnings: [] };
}

function fromGauge(evidence: TensionEvidence): Converted {
  const { readings, unit, calibration } = evidence;
  if (calibration === null) {
    throw new LapbenchError({
      code: 'usage',
      message: 'A gauge shows a number of its own: without its table there is no tension.',
      remedy: 'Give the table, with the columns reading and tension_n, for this kind of spoke.',
    });
  }
  const factor = newtonsPer[unit ?? 'N'];
  const table = {
    ...calibration,
    points: calibration.points.map((one) => ({ ...one, tensionN: one.tensionN * factor })),
  };
  const tensions = table.points.map(({ tensionN }) => tensionN);
  refuseUnit([Math.max(...tensions)], unit, 'highest points of the table', { file: table.file });
  const { curves, ranges, warnings } = gaugeCurves(table, evidence.spokeType);
  const spokes = spokesFrom(
    readings,
    (side, reading) => curves[side].at(reading)?.value ?? null,
    ({ side, spoke, reading }) => {
      const range = ranges.find((one) => one.side === side)!;
      const [low, high] = range.reading;
      const edge = curves[side].at(reading < low ? low : high)!.value;
      const loose = edge === range.tensionN[0];
      return {
        code: 'reading-outside',
        message: `Spoke ${spoke} reads ${reading}, outside the gauge’s table, which goes from ${low} to ${high} (${range.tensionN.map((x) => x.toFixed(0)).join(' to ')} N): it has ${loose ? 'less' : 'more'} than ${edge.toFixed(0)} N, and how much is not known.`,
        remedy: `Add a point beyond it to the table, or bring the spoke inside ${loose ? 'by tightening' : 'by loosening'} and read again.`,
      };
    },
  );
  return { spokes, pitch: null, gauge: ranges, other: null, warnings };
}

function fromPitch(evidence: TensionEvidence): Converted {
  const { readings, wheel, known } = evidence;
  if (wheel === null) {
    throw new LapbenchError({
      code: 'usage',
      message:
        'Pitch becomes tension by the length, section and density of the spoke, and they stand in the wheel sheet.',
      remedy: 'Give the wheel sheet too.',
    });
  }
  const beams = beamsOf(wheel);
  refuseOctaves(readings, beams);
  const ends = findEnds(readings, known, beams);
  const spokes = pitchedSpokes(readings, beams, ends.g);
  return {
    spokes,
    pitch: pitchCondition(ends, spokes, beams),
    gauge: null,
    other: otherEnds(readings, beams, ends, spokes),
    warnings: ends.warnings,
  };
}

const pitchedSpokes = (
  readings: readonly SpokeReading[],
  beams: BySide<TensionedBeam>,
  g: number,
): ReadSpoke[] =>
  spokesFrom(
    readings,
    (side, hz) => pitchTensionN(beams[side], hz, g),
    ({ side, spoke, reading }) => ({
      code: 'reading-outside',
      message: `Spoke ${spoke} sounds at ${reading} Hz; even without tension this spoke would sound at up to ${beamFrequencyHz(beams[side], 0, clampedEnds).toFixed(0)} Hz.`,
      remedy: 'It is slack or the tone was another: tighten it near its neighbours and read again.',
    }),
  );

/** Pinned where the ends are not known; otherwise the known tensions one standard uncertainty higher. */
function otherEnds(
  readings: readonly SpokeReading[],
  beams: BySide<TensionedBeam>,
  { calibrated, known }: FoundEnds,
  spokes: readonly ReadSpoke[],
): OtherTensions | null {
  const repeat = pooledRepeatability(spokes)?.standardDeviationN ?? null;
  const g = calibrated ? shiftedEnds(readings, known, beams, repeat) : 0;
  if (g === null) return null;
  const tensionsN = pitchedSpokes(readings, beams, g).map(({ tensionN }) => tensionN);
  return { kind: calibrated ? 'standard' : 'bound', tensionsN };
}

/** Readings gathered by spoke, round the rim, each as tension. Throws what `outside` says where there is none. */
function spokesFrom(
  readings: readonly SpokeReading[],
  toTensionN: (side: SpokeReading['side'], reading: number) => number | null,
  outside?: (reading: SpokeReading) => Problem,
): ReadSpoke[] {
  const problems: Problem[] = [];
  const numbers = [...new Set(readings.map(({ spoke }) => spoke))].sort((a, b) => a - b);
  const spokes = numbers.map((spoke): ReadSpoke => {
    const own = readings.filter((one) => one.spoke === spoke);
    const { side } = own[0];
    const tensionsN = own.map((one) => {
      const tensionN = toTensionN(side, one.reading);
      if (tensionN === null && outside) {
        const place = one.line === null ? {} : { place: { line: one.line } };
        problems.push({ ...outside(one), ...place });
      }
      return tensionN ?? 0;
    });
    const reads = own.map(({ reading }) => reading);
    return {
      spoke,
      side,
      readings: reads,
      tensionsN,
      tensionN: toTensionN(side, mean(reads)) ?? 0,
      lines: own.map(({ line }) => line),
    };
  });
  if (problems.length > 0) throw new LapbenchError(problems);
  return spokes;
}

/** A side whose spokes all read nothing has no mean to be held against. */
function refuseSlackSides(spokes: readonly ReadSpoke[]): void {
  for (const side of bothSides) {
    const own = spokes.filter((one) => one.side === side);
    if (own.length === 0 || meanTensionN(own) > 0) continue;
    throw new LapbenchError({
      code: 'wheel-cannot-stand',
      message: `The spokes of the ${side} side have no tension: a wheel cannot stand like that.`,
      remedy: 'Tension the wheel first, or check the readings.',
    });
  }
}

function balanceFor(
  { wheel }: TensionEvidence,
  missing: readonly number[],
  spokes: readonly ReadSpoke[],
  aims: BalanceAims,
): Balance {
  if (wheel === null) {
    return {
      plan: null,
      reason:
        'Without a wheel sheet it is not known what a turn of one nipple does to the other spokes and to the rim.',
    };
  }
  if (missing.length > 0)
    return { plan: null, reason: 'A plan of turns needs the tension of every spoke.' };
  return balanceOf(
    wheel,
    spokes.map(({ tensionN }) => tensionN),
    aims,
  );
}
