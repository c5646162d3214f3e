/** Heights that no road has: spikes are left out, steps of a barometer taken off, real cliffs refused. */
import { median } from '../statistics/index.ts';
import { LapbenchError, type Problem } from '../units/index.ts';

/** Steeper than this is no road, rise over run: the steepest paved streets have about 0.35 (common practice, no source). */
export const steepestRoad = 0.5;
/** A change over less than this is taken over this: a crawling rider's heights jitter, m. */
const shortestRunM = 8;
/** A height that comes back within this distance was a spike, m. */
const longestSpikeM = 120;
/** More than this share of mended samples, and the heights say nothing. */
const mostMended = 0.1;
const mostSteps = 20;
/** Three steps one way within this distance are a slope, m. */
const cliffM = 100;

export interface MendedHeights {
  /** NaN where left out. */
  heightM: Float64Array;
  warnings: Problem[];
}

/**
 * Mends heights at rising distances. A jump is a change steeper than `steepestRoad` that also stands out of
 * the noise of the file (six robust deviations of the changes).
 *
 * @throws LapbenchError `course-steep` when too much would have to be mended
 */
export function mendHeights(
  distanceM: Float64Array,
  heightM: Float64Array,
  file: string,
): MendedHeights {
  const out = Float64Array.from(heightM);
  const at = [...out.keys()].filter((i) => Number.isFinite(out[i]));
  const threshold = jumpThreshold(at, distanceM, out);
  const warnings: Problem[] = [];
  const spikes: number[] = [];
  const steps: { atM: number; byM: number }[] = [];
  for (let k = 1; k < at.length; k++) {
    const [before, here] = [at[k - 1], at[k]];
    if (!Number.isFinite(out[here])) continue;
    const from = lastFinite(out, before);
    if (from < 0) continue;
    const rise = out[here] - out[from];
    const run = distanceM[here] - distanceM[from];
    if (!jumps(rise, run, threshold)) continue;
    const back = whereBack(at, k, from, distanceM, out, threshold);
    if (back !== null) {
      for (let j = k; j < back; j++) out[at[j]] = NaN;
      spikes.push(distanceM[here]);
      continue;
    }
    // Stays: the file's zero has moved. Hold the slope of the road before the jump.
    steps.push({ atM: distanceM[here], byM: rise });
    for (let j = k; j < at.length; j++) out[at[j]] -= rise;
  }
  refuseCliffs(steps, file);
  const left = at.filter((i) => !Number.isFinite(out[i])).length;
  if (left > mostMended * at.length || steps.length > mostSteps) {
    throw new LapbenchError({
      code: 'course-steep',
      file,
      message: `The heights jump as no road does (steeper than ${100 * steepestRoad} %) at ${spikes.length + steps.length} places: they cannot be mended.`,
      remedy: 'Take the heights from a map, or record the course again with a barometer.',
    });
  }
  if (spikes.length > 0) {
    warnings.push({
      code: 'course-mended',
      file,
      message: `${spikes.length === 1 ? 'A spike' : `${spikes.length} spikes`} of the height steeper than ${100 * steepestRoad} % ${spikes.length === 1 ? 'is' : 'are'} left out, at ${listed(spikes)}.`,
      remedy: 'Check the profile there.',
    });
  }
  if (steps.length > 0) {
    const words = steps.map(({ byM }) => `${byM > 0 ? '+' : ''}${byM.toFixed(1)} m`);
    warnings.push({
      code: 'course-mended',
      file,
      message: `The height jumps for good at ${listed(steps.map(({ atM }) => atM))} (${words.slice(0, 4).join(', ')}${words.length > 4 ? ' …' : ''}): taken as ${steps.length === 1 ? 'a step' : 'steps'} of the barometer, not of the road.`,
      remedy: 'Check the profile and the height of the finish.',
    });
  }
  return { heightM: out, warnings };
}

/** Steps up on steps up are no barometer: they are a cliff in the file. */
function refuseCliffs(steps: { atM: number; byM: number }[], file: string): void {
  for (let i = 2; i < steps.length; i++) {
    const three = steps.slice(i - 2, i + 1);
    const oneWay = three.every(({ byM }) => Math.sign(byM) === Math.sign(three[0].byM));
    if (!oneWay || three[2].atM - three[0].atM > cliffM) continue;
    throw new LapbenchError({
      code: 'course-steep',
      file,
      message: `At ${(three[0].atM / 1000).toFixed(2)} km the heights go on changing by more than ${100 * steepestRoad} % of the distance, steeper than any road.`,
      remedy: 'Mend the heights of the file there, or take them from a map.',
    });
  }
}

function jumpThreshold(at: number[], distanceM: Float64Array, heightM: Float64Array): number {
  const changes: number[] = [];
  for (let k = 2; k < at.length; k++) {
    const [a, b, c] = [at[k - 2], at[k - 1], at[k]];
    const share = (distanceM[b] - distanceM[a]) / (distanceM[c] - distanceM[a]);
    changes.push(Math.abs(heightM[b] - heightM[a] - share * (heightM[c] - heightM[a])));
  }
  // 1.4826: a median of deviations as a standard deviation.
  return changes.length === 0 ? 1 : Math.max(1, 6 * 1.4826 * median(changes));
}

const jumps = (rise: number, run: number, threshold: number): boolean =>
  Math.abs(rise) > steepestRoad * Math.max(run, shortestRunM) && Math.abs(rise) > threshold;

function lastFinite(values: Float64Array, from: number): number {
  let i = from;
  while (i >= 0 && !Number.isFinite(values[i])) i -= 1;
  return i;
}

/** The place in `at` of the first later sample that lies on a road from before the jump; null: none near. */
function whereBack(
  at: number[],
  k: number,
  from: number,
  distanceM: Float64Array,
  heightM: Float64Array,
  threshold: number,
): number | null {
  for (let j = k + 1; j < at.length; j++) {
    const run = distanceM[at[j]] - distanceM[from];
    if (run > longestSpikeM) return null;
    const previous = heightM[at[j]] - heightM[at[j - 1]];
    const rise = heightM[at[j]] - heightM[from];
    // Back by a jump of its own, to what a road could have climbed since.
    const jumped = jumps(previous, distanceM[at[j]] - distanceM[at[j - 1]], threshold);
    if (jumped && Math.abs(rise) <= Math.max(threshold, 0.25 * run)) return j;
  }
  return null;
}

function listed(placesM: number[]): string {
  const words = placesM.slice(0, 4).map((m) => `${(m / 1000).toFixed(2)} km`);
  return placesM.length > 4
    ? `${words.join(', ')} and ${placesM.length - 4} more`
    : words.join(', ');
}
