/** A wheel's numbers out of its sheet; what makes it differ from another; its rim fitted to the bench. */
import type { Wheel } from '../../evidence/index.ts';
import {
  explainDifference,
  fitRimStiffness,
  wheelMechanics,
  type WheelMechanics,
} from '../../structure/index.ts';
import { LapbenchError, type Problem } from '../../units/index.ts';
import { changeInWords, sidesOf, spokesOf } from './model.ts';
import type { RimFit, WheelComparison, WheelFinding, WheelStiffnesses } from './result.ts';

/** A wheel, and what is asked of it. */
export interface WheelEvidence {
  wheel: Wheel;
  invented: boolean;
  /** Compared with term by term. */
  other: Wheel | null;
  /** Lateral stiffness from the bench, slop taken off, N/mm: the rim is fitted to it. */
  benchLateralNPerMm: number | null;
  inputs: { file: string; sha256: string }[];
}

const cautions = [
  'Computed from the sheet, not measured: a rim’s true stiffness and what its spoke holes bear can differ. Never exceed the maker’s maximum tension.',
  'The tension of collapse is a margin, never a target. Leave building, truing and judging a wheel to a qualified wheel builder or mechanic.',
];

/**
 * Stiffnesses, spokes, comparison and fit of one wheel.
 *
 * @throws LapbenchError `wheel-geometry`, `wheel-cannot-stand`, `wheel-fit`
 */
export function estimateWheel(evidence: WheelEvidence): WheelFinding {
  const { wheel, other, benchLateralNPerMm } = evidence;
  const mechanics = wheelMechanics(wheel);
  const { onBearings } = mechanics;
  const theirs = other === null ? null : namedMechanics(other);
  const warnings: Problem[] = [...mechanics.warnings, ...sayLowTension(mechanics)];
  return {
    schema: 'lapbench/wheel@1',
    name: wheel.name,
    ...stiffnessesOf(mechanics),
    spokes: spokesOf(mechanics),
    sides: sidesOf(mechanics),
    collapseTensionN: mechanics.collapseTensionN,
    rimCompressionN: mechanics.rimCompressionN,
    onBearings: onBearings && {
      lateralNPerMm: onBearings.lateralNPerMm,
      radialNPerMm: onBearings.radialNPerMm,
      torsionalNmPerDeg: onBearings.torsionalNmPerDeg,
    },
    invented: evidence.invented,
    firstSlackSideLoadN: mechanics.firstSlackSideLoadN,
    comparison: other && theirs ? comparisonOf(wheel, mechanics, other, theirs) : null,
    fit: benchLateralNPerMm === null ? null : fitOf(wheel, benchLateralNPerMm, other),
    warnings,
    cautions,
    method: 'wheel 1',
    inputs: evidence.inputs,
  };
}

/** Problems of the second wheel say which one they mean. */
function namedMechanics(other: Wheel): WheelMechanics {
  try {
    return wheelMechanics(other);
  } catch (error) {
    if (!(error instanceof LapbenchError)) throw error;
    throw new LapbenchError(
      error.problems.map(({ place: _, ...problem }) => ({
        ...problem,
        message: `The wheel compared with, ${JSON.stringify(other.name)}: ${problem.message}`,
      })),
    );
  }
}

function stiffnessesOf(mechanics: WheelMechanics): WheelStiffnesses {
  return {
    lateralNPerMm: mechanics.lateralNPerMm,
    radialNPerMm: mechanics.radialNPerMm,
    torsionalNmPerDeg: mechanics.torsionalNmPerDeg,
    lateralAtSpokeNPerMm: mechanics.lateralAtSpokeNPerMm,
    lateralMidwayNPerMm: mechanics.lateralMidwayNPerMm,
    radialAtSpokeNPerMm: mechanics.radialAtSpokeNPerMm,
    radialMidwayNPerMm: mechanics.radialMidwayNPerMm,
    lateralUntensionedNPerMm: mechanics.lateralUntensionedNPerMm,
    radialUntensionedNPerMm: mechanics.radialUntensionedNPerMm,
    torsionalUntensionedNmPerDeg: mechanics.torsionalUntensionedNmPerDeg,
  };
}

function comparisonOf(
  wheel: Wheel,
  mechanics: WheelMechanics,
  other: Wheel,
  theirs: WheelMechanics,
): WheelComparison {
  const difference = explainDifference(wheel, other);
  const percent = (share: number | null): number | null => (share === null ? null : 100 * share);
  const here = { wheel, sides: sidesOf(mechanics) };
  const there = { wheel: other, sides: sidesOf(theirs) };
  return {
    name: wheel.name,
    other: other.name,
    stiffnesses: stiffnessesOf(theirs),
    lateralDifferenceNPerMm: difference.lateralNPerMm,
    radialDifferenceNPerMm: difference.radialNPerMm,
    terms: difference.terms.map((term) => ({
      term: term.term,
      change: changeInWords(term.key, here, there),
      lateralNPerMm: term.lateralNPerMm,
      sharePercent: percent(term.lateralShare),
      radialNPerMm: term.radialNPerMm,
      radialSharePercent: percent(term.radialShare),
    })),
  };
}

function fitOf(wheel: Wheel, benchLateralNPerMm: number, other: Wheel | null): RimFit {
  const { scale, wheel: fitted, lateralNPerMm } = fitRimStiffness(wheel, benchLateralNPerMm);
  return {
    benchLateralNPerMm,
    rimFactor: scale,
    iLateralM4: fitted.rim.iLateralM4,
    torsionM4: fitted.rim.torsionM4,
    lateralNPerMm,
    predictedOtherNPerMm: other === null ? null : benchStiffness(withRimTimes(other, scale)),
  };
}

function withRimTimes(wheel: Wheel, scale: number): Wheel {
  const rim = {
    ...wheel.rim,
    iLateralM4: wheel.rim.iLateralM4 * scale,
    torsionM4: wheel.rim.torsionM4 * scale,
  };
  return { ...wheel, rim };
}

/** As a bench sees it: with the bearings' springs where the sheet gives them, as the fit does. */
function benchStiffness(wheel: Wheel): number {
  const mechanics = wheelMechanics(wheel);
  return (mechanics.onBearings ?? mechanics).lateralNPerMm;
}

/** Near collapse, pretension has eaten a good part of the stiffness: worth a word. */
function sayLowTension(mechanics: WheelMechanics): Problem[] {
  const share = 1 - mechanics.lateralNPerMm / mechanics.lateralUntensionedNPerMm;
  if (share < 0.3) return [];
  return [
    {
      code: 'wheel-cannot-stand',
      message: `Pretension takes ${(100 * share).toFixed(0)} % of the lateral stiffness: the rim is near the tension at which it folds${mechanics.collapseTensionN === null ? '' : ` (${mechanics.collapseTensionN.toFixed(0)} N)`}.`,
      remedy: 'Check tension and rim section; do not tighten further.',
    },
  ];
}
