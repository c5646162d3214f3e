/** A wheel's numbers out of its sheet; what makes it differ from another; its rim fitted to the bench. */
import type { Wheel } from '../../evidence/index.ts';
import {
  explainDifference,
  fitRimStiffness,
  wheelMechanics,
  type WheelMechanics,
} from '../../structure/index.ts';
import {
  LapbenchError,
  standardGravityMps2,
  type Interval,
  type Problem,
} from '../../units/index.ts';
import { changeInWords, sidesOf, spokesOf } from './model.ts';
import type {
  OpenInterval,
  RimFit,
  WheelComparison,
  WheelFinding,
  WheelLoadCase,
  WheelStiffnesses,
} from './result.ts';
import { nippleInfluence } from './turns.ts';
import { underLoad } from './under-load.ts';

/** A wheel, and what is asked of it. */
export interface WheelEvidence {
  wheel: Wheel;
  invented: boolean;
  /** Compared with term by term. */
  other: Wheel | null;
  /** Lateral stiffness from the bench, slop taken off, N/mm: the rim is fitted to it. */
  benchLateralNPerMm: number | null;
  /** 95 % interval of that reading; left out or null: not known. */
  benchLateralCi95?: Interval | null;
  /** A load to solve whole, with spokes that may go slack. */
  load?: WheelLoadCase | null;
  /** Whether to give what one turn of each nipple does. */
  influence?: boolean;
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
  const loaded = evidence.load ? underLoad(wheel, evidence.load) : null;
  const fit = benchLateralNPerMm === null ? null : fitOf(evidence, benchLateralNPerMm);
  const warnings: Problem[] = [
    ...mechanics.warnings,
    ...sayUnit(mechanics),
    ...sayNearCollapse(mechanics),
    ...(loaded?.warnings ?? []),
    ...(fit ? sayOpen(fit) : []),
  ];
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
    fit,
    underLoad: loaded?.result ?? null,
    influence: evidence.influence ? nippleInfluence(wheel) : null,
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

function fitOf(
  { wheel, other, benchLateralCi95 = null }: WheelEvidence,
  benchLateralNPerMm: number,
): RimFit {
  const { scale, wheel: fitted, lateralNPerMm } = fitRimStiffness(wheel, benchLateralNPerMm);
  // More stiffness of the rim is more of the wheel, of either: ends of the interval go to ends.
  const ends = benchLateralCi95?.map((end) => factorFor(wheel, end)) ?? null;
  const predicted = (factor: number): number => benchStiffness(withRimTimes(other!, factor));
  return {
    benchLateralNPerMm,
    benchLateralCi95,
    rimFactor: scale,
    rimFactorCi95: ends as OpenInterval | null,
    iLateralM4: fitted.rim.iLateralM4,
    torsionM4: fitted.rim.torsionM4,
    lateralNPerMm,
    predictedOtherNPerMm: other === null ? null : predicted(scale),
    predictedOtherCi95:
      other === null || ends === null
        ? null
        : (ends.map((end) => (end === null ? null : orNull(() => predicted(end)))) as OpenInterval),
  };
}

/** Factor on the rim that gives a stiffness; null where none reaches it. */
const factorFor = (wheel: Wheel, lateralNPerMm: number): number | null =>
  orNull(() => fitRimStiffness(wheel, lateralNPerMm).scale);

/** Null where an end of an interval is out of reach, or its rim does not stand. */
function orNull(solve: () => number): number | null {
  try {
    return solve();
  } catch (error) {
    if (error instanceof LapbenchError) return null;
    throw error;
  }
}

function sayOpen({ rimFactorCi95, benchLateralCi95 }: RimFit): Problem[] {
  if (!rimFactorCi95 || !benchLateralCi95 || rimFactorCi95.every((end) => end !== null)) return [];
  const ends = benchLateralCi95.filter((_, i) => rimFactorCi95[i] === null);
  return [
    {
      code: 'wheel-fit',
      message: `No rim stiffness on these spokes gives ${ends.join(' or ')} N/mm, an end of the bench’s interval: the factor on the rim is open to that side.`,
      remedy:
        'Read the bench over more remounts, or check the spokes and flange offsets of the sheet.',
    },
  ];
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

/** Bounds are common practice, no source: a built wheel has more, and kilograms-force would give what one has. */
function sayUnit(mechanics: WheelMechanics): Problem[] {
  const sides = sidesOf(mechanics);
  const tighter = sides.reduce((a, b) => (b.meanTensionN > a.meanTensionN ? b : a));
  const inKilograms = tighter.meanTensionN * standardGravityMps2;
  if (tighter.meanTensionN >= 330 || inKilograms < 350 || inKilograms > 1700) return [];
  return [
    {
      code: 'reading-unit',
      place: { field: `spokes.${tighter.side}` },
      message: `The tighter side, ${tighter.side}, has ${tighter.meanTensionN.toFixed(0)} N a spoke: low for a wheel that is ridden, and it looks like kilograms-force (${inKilograms.toFixed(0)} N).`,
      remedy:
        'Write meanTensionN in newtons, kilograms-force × 9.80665; if it is newtons, leave it.',
    },
  ];
}

/** Near collapse, pretension has eaten a good part of the stiffness: worth a word. */
function sayNearCollapse(mechanics: WheelMechanics): Problem[] {
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
