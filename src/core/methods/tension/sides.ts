/** What is said of each side: mean, spread, worst, neighbours that pull together, and the ratio of the two. */
import type { Side, Wheel } from '../../evidence/index.ts';
import { standardDeviation } from '../../statistics/index.ts';
import {
  bothSides,
  bySide,
  demandedRatio,
  intervalOf,
  meanTensionN,
  standardErrorN,
  type ReadSpoke,
  type Repeatability,
  type Shifted,
} from './model.ts';
import type { NeighbourRun, SideRatio, SideTension, SpokeTension } from './result.ts';

/** The same spokes under another calibration. */
export interface OtherTensions {
  kind: Shifted['kind'];
  /** In the order of the spokes. */
  tensionsN: number[];
}

export interface Uncertainty {
  repeatability: Repeatability | null;
  other: OtherTensions | null;
}

/** Spokes as the finding lists them, in the order round the rim. `limitN` is the maximum for what was read. */
export function spokesOf(
  spokes: readonly ReadSpoke[],
  tolerancePercent: number,
  limitN: number | null,
): SpokeTension[] {
  const own = bySide(spokes);
  const means = { left: 0, right: 0 };
  for (const side of bothSides) if (own[side].length > 0) means[side] = meanTensionN(own[side]);
  return spokes.map((one) => {
    const deviationPercent = 100 * (one.tensionN / means[one.side] - 1);
    return {
      spoke: one.spoke,
      side: one.side,
      reading: one.readings.reduce((sum, x) => sum + x, 0) / one.readings.length,
      times: one.readings.length,
      tensionN: one.tensionN,
      deviationPercent,
      insideTolerance: Math.abs(deviationPercent) <= tolerancePercent + 1e-9,
      aboveMaximum: limitN !== null && one.tensionN > limitN,
    };
  });
}

/** One side; null without spokes. */
export function sideOf(
  side: Side,
  read: readonly ReadSpoke[],
  found: readonly SpokeTension[],
  tolerancePercent: number,
  uncertainty: Uncertainty,
): SideTension | null {
  const own = found.filter((one) => one.side === side);
  if (own.length === 0) return null;
  const tensions = own.map(({ tensionN }) => tensionN);
  const meanN = meanTensionN(own);
  const spreadN = own.length > 1 ? standardDeviation(tensions) : 0;
  const worst = own.reduce((most, one) =>
    Math.abs(one.deviationPercent) > Math.abs(most.deviationPercent) ? one : most,
  );
  const { repeatability } = uncertainty;
  const ownRead = read.filter((one) => one.side === side);
  return {
    side,
    spokes: own.length,
    meanN,
    meanCi95: intervalOf(
      meanN,
      repeatability && standardErrorN(ownRead, repeatability),
      repeatability?.degreesOfFreedom ?? 0,
      shiftedMean(side, read, uncertainty.other),
    ),
    spreadN,
    spreadPercent: (100 * spreadN) / meanN,
    lowestN: Math.min(...tensions),
    highestN: Math.max(...tensions),
    worst: { spoke: worst.spoke, deviationPercent: worst.deviationPercent },
    outsideTolerance: own.flatMap(({ spoke, insideTolerance }) => (insideTolerance ? [] : [spoke])),
    runs: runsOf(own, tolerancePercent),
  };
}

function shiftedMean(
  side: Side,
  read: readonly ReadSpoke[],
  other: OtherTensions | null,
): Shifted | null {
  if (other === null) return null;
  const own = other.tensionsN.filter((_, i) => read[i].side === side);
  return { kind: other.kind, value: own.reduce((sum, x) => sum + x, 0) / own.length };
}

/** So many neighbours make a run. */
const leastRun = 3;

/**
 * Three or more neighbours of one side, round the rim, that all lie off the mean to the same way by more than a
 * quarter of the tolerance.
 */
export function runsOf(own: readonly SpokeTension[], tolerancePercent: number): NeighbourRun[] {
  const kindOf = ({ deviationPercent }: SpokeTension): NeighbourRun['kind'] | null =>
    Math.abs(deviationPercent) <= tolerancePercent / 4
      ? null
      : deviationPercent > 0
        ? 'tight'
        : 'loose';
  const n = own.length;
  // Begin where a run ends, so that one across the valve stays whole.
  const first = own.findIndex((one, i) => kindOf(one) !== kindOf(own[(i + n - 1) % n]));
  if (first < 0) return [];
  const runs: NeighbourRun[] = [];
  for (let i = 0; i < n;) {
    const kind = kindOf(own[(first + i) % n]);
    let length = 1;
    while (i + length < n && kindOf(own[(first + i + length) % n]) === kind) length++;
    const members = Array.from({ length }, (_, k) => own[(first + i + k) % n]);
    if (kind !== null && length >= leastRun) {
      const sum = members.reduce((total, one) => total + one.deviationPercent, 0);
      runs.push({
        spokes: members.map(({ spoke }) => spoke),
        kind,
        deviationPercent: sum / length,
      });
    }
    i += length;
  }
  return runs;
}

/** Measured against demanded; null while a side has no readings. */
export function ratioOf(
  read: readonly ReadSpoke[],
  wheel: Wheel | null,
  { repeatability, other }: Uncertainty,
): SideRatio | null {
  const { left, right } = bySide(read);
  if (left.length === 0 || right.length === 0) return null;
  const [leftN, rightN] = [meanTensionN(left), meanTensionN(right)];
  const measured = leftN / rightN;
  const standardError =
    repeatability &&
    measured *
      Math.hypot(
        standardErrorN(left, repeatability) / leftN,
        standardErrorN(right, repeatability) / rightN,
      );
  const shiftedLeft = shiftedMean('left', read, other);
  const shiftedRight = shiftedMean('right', read, other);
  const shifted =
    shiftedLeft && shiftedRight
      ? { kind: shiftedLeft.kind, value: shiftedLeft.value / shiftedRight.value }
      : null;
  const demanded = wheel === null ? null : demandedRatio(wheel);
  return {
    measured,
    measuredCi95: intervalOf(
      measured,
      standardError,
      repeatability?.degreesOfFreedom ?? 0,
      shifted,
    ),
    demanded,
    differencePercent: demanded === null ? null : 100 * (measured / demanded - 1),
  };
}
