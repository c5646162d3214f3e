/** One whole load on the wheel: where the rim goes, what every spoke then carries, and which go slack. */
import type { Wheel } from '../../evidence/index.ts';
import { solveLoad, wheelSpokes, type LoadedWheel } from '../../structure/index.ts';
import { LapbenchError, type Problem } from '../../units/index.ts';
import type { WheelLoadCase, WheelUnderLoad } from './result.ts';

const degree = Math.PI / 180;
const milli = 1e-3;

/** Several times what a rider, a road or a test bench puts on a wheel; common practice, no source. */
const largestForceN = 20_000;
const largestTorqueNm = 2000;

/** Below this share of its tension at rest, a change is round-off. */
const nothing = 1e-9;

/**
 * Solves the load with spokes that pull and never push.
 *
 * @throws LapbenchError `wheel-cannot-stand` when the load is more than the wheel carries, or torque on a
 * wheel all radial; `usage` when the place is neither at a spoke nor midway, or a
 * load is beyond all bounds
 */
export function underLoad(
  wheel: Wheel,
  load: WheelLoadCase,
): { result: WheelUnderLoad; warnings: Problem[] } {
  const spokes = wheelSpokes(wheel);
  const { sideN, inwardN, brakeNm, atSpoke } = load;
  if (!(atSpoke >= 1 && atSpoke < spokes.length + 1 && Number.isInteger(2 * atSpoke))) {
    throw new LapbenchError({
      code: 'usage',
      message: `The load stands at spoke ${atSpoke}, and the wheel has spokes 1 to ${spokes.length}.`,
      remedy: 'Give the number of a spoke, or a half for midway to the next: 1.5.',
    });
  }
  refuseBeyond('side load', sideN, largestForceN, 'N');
  refuseBeyond('load inwards', inwardN, largestForceN, 'N');
  refuseBeyond('torque of the brake', brakeNm, largestTorqueNm, 'N m');
  const angleRad = ((atSpoke - 1) * 2 * Math.PI) / spokes.length;
  const solve = (unilateral: boolean): LoadedWheel =>
    solveLoad(
      wheel,
      {
        forces: [{ angleRad, lateralN: sideN, radialN: -inwardN }],
        brakeTorqueNm: brakeNm,
        contactAngleRad: angleRad,
      },
      { unilateral },
    );
  const loaded = solve(true);
  const { displacements: moved } = loaded;
  const places = moved.angleRad.length / spokes.length;
  const rimAt = (node: number): WheelUnderLoad['rim'][number] => ({
    positionDeg: moved.angleRad[node] / degree,
    leftMm: moved.lateralM[node] / milli,
    outwardMm: moved.radialM[node] / milli,
    forwardMm: moved.tangentialM[node] / milli,
  });
  const slackSpokes = spokes.flatMap((_, i) => (loaded.slack[i] ? [i + 1] : []));
  const firstSlackShare = shareOfFirstSlack(solve(false).spokeTensionChangeN, spokes);
  return {
    result: {
      load: { ...load, positionDeg: angleRad / degree },
      atLoad: rimAt(Math.round((atSpoke - 1) * places)),
      rim: spokes.map((_, i) => rimAt(i * places)),
      spokes: spokes.map((_, i) => ({
        spoke: i + 1,
        tensionN: loaded.spokeTensionN[i],
        changeN: loaded.spokeTensionN[i] - spokes[i].tensionN,
        slack: loaded.slack[i],
      })),
      slackSpokes,
      firstSlackShare,
    },
    warnings: slackSpokes.length === 0 ? [] : [saySlack(slackSpokes, firstSlackShare)],
  };
}

/** The share of the load at which the first spoke has no tension left; null: none loses any. */
function shareOfFirstSlack(
  changeN: Float64Array,
  spokes: readonly { tensionN: number }[],
): number | null {
  const shares = spokes.map(({ tensionN }, i) =>
    changeN[i] < -nothing * tensionN ? -tensionN / changeN[i] : Infinity,
  );
  const least = Math.min(...shares);
  return Number.isFinite(least) ? least : null;
}

function saySlack(slackSpokes: number[], share: number | null): Problem {
  const one = slackSpokes.length === 1;
  const from =
    share === null ? '' : `, the first of them at ${Number((100 * share).toPrecision(2))} % of it`;
  return {
    code: 'spokes-slack',
    message: `Under this load ${one ? 'spoke' : 'spokes'} ${slackSpokes.join(', ')} ${one ? 'goes' : 'go'} slack${from}: the wheel gives way more than in proportion, and a slack nipple can turn by itself.`,
    remedy:
      'Check the load and the tensions; more tension within the maker’s limit, more spokes or a stiffer rim keep spokes tight.',
  };
}

function refuseBeyond(what: string, value: number, most: number, unit: string): void {
  if (Math.abs(value) <= most) return;
  throw new LapbenchError({
    code: 'usage',
    message: `A ${what} of ${value} ${unit} is more than any road or bench gives.`,
    remedy: `Give at most ${most} ${unit} either way.`,
  });
}
