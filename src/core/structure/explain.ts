/** Why one wheel is stiffer than another: the difference shared out over what differs. */
import type { BySide, Wheel } from '../evidence/index.ts';
import type { RingSection } from './beam.ts';
import { modelStiffnesses } from './mechanics.ts';
import type { Stiffnesses } from './mechanics.ts';
import { modelOf, wheelModel } from './model.ts';
import type { ModelOptions } from './model.ts';
import { refuse, requireTension } from './refusals.ts';
import { layOut, sideShapes } from './spokes.ts';
import type { SideShape } from './spokes.ts';

/** What two wheels may differ in, each changed without the others. */
export type DifferenceKey =
  | 'spokeCount'
  | 'lacing'
  | 'spokeLength'
  | 'bracingAngle'
  | 'spokeSection'
  | 'rimSize'
  | 'rimSection'
  | 'tension';

/** What each term is, in words. */
export const differenceTerms: Readonly<Record<DifferenceKey, string>> = {
  spokeCount: 'spoke count',
  lacing: 'lacing: angle between spoke and radius',
  spokeLength: 'spoke length',
  bracingAngle: 'bracing angle',
  spokeSection: 'spoke section and material (E·A)',
  rimSize: 'rim size: radius of the centroid line, nipple offset',
  rimSection: 'rim section and material',
  tension: 'spoke tension',
};

export interface DifferenceTerm {
  key: DifferenceKey;
  term: string;
  /** Part of the difference, b less a, N/mm. */
  lateralNPerMm: number;
  radialNPerMm: number;
  /** Of the whole difference; the shares add to 1. Null when the whole is next to nothing. */
  lateralShare: number | null;
  radialShare: number | null;
}

export interface Difference {
  a: Stiffnesses;
  b: Stiffnesses;
  lateralNPerMm: number;
  radialNPerMm: number;
  /** The larger lateral part first; terms in which the wheels do not differ are left out. */
  terms: DifferenceTerm[];
}

/** A wheel taken apart into what can be changed alone. */
interface Parts {
  shapes: BySide<SideShape>;
  section: RingSection;
  radiusM: number;
  nippleOffsetM: number;
}

const sides = ['left', 'right'] as const;

const spokeFields: Partial<Record<DifferenceKey, keyof SideShape>> = {
  spokeCount: 'count',
  lacing: 'inPlaneAngleRad',
  spokeLength: 'lengthM',
  bracingAngle: 'bracingAngleRad',
  spokeSection: 'axialStiffnessN',
  tension: 'tensionN',
};

const keys = Object.keys(differenceTerms) as DifferenceKey[];

function partsOf(wheel: Wheel, options: ModelOptions): Parts {
  const { model } = wheelModel(wheel, options);
  requireTension(model);
  const { shapes } = sideShapes(wheel);
  const { section, radiusM, nippleOffsetM } = model;
  return { shapes, section, radiusM, nippleOffsetM };
}

/** What a term reads of a wheel, for telling whether two differ in it. */
function reads(parts: Parts, key: DifferenceKey): number[] {
  const field = spokeFields[key];
  if (field) return sides.map((side) => parts.shapes[side][field]);
  if (key === 'rimSize') return [parts.radiusM, parts.nippleOffsetM];
  const { section } = parts;
  return [
    section.axialStiffnessN,
    section.radialBendingNm2,
    section.lateralBendingNm2,
    section.torsionNm2,
    section.shearCentreOffsetM,
  ];
}

/** `a` with the chosen terms taken from `b`. */
function mixed(a: Parts, b: Parts, taken: ReadonlySet<DifferenceKey>): Parts {
  const shape = (side: 'left' | 'right'): SideShape => {
    const result = { ...a.shapes[side] };
    for (const key of taken) {
      const field = spokeFields[key];
      if (field) result[field] = b.shapes[side][field];
    }
    return result;
  };
  const size = taken.has('rimSize') ? b : a;
  return {
    shapes: { left: shape('left'), right: shape('right') },
    section: taken.has('rimSection') ? b.section : a.section,
    radiusM: size.radiusM,
    nippleOffsetM: size.nippleOffsetM,
  };
}

function stiffnessOf(parts: Parts, options: ModelOptions): Stiffnesses {
  const { section, radiusM, nippleOffsetM, shapes } = parts;
  const spokes = layOut(shapes);
  return modelStiffnesses(
    modelOf(section, radiusM, nippleOffsetM, spokes, options.elementsPerSpoke),
    1,
  );
}

/**
 * Shares out the difference of the headline stiffnesses (b less a, pretension counted, hub held) over spoke
 * count, lacing, spoke length, bracing angle, spoke section, rim size, rim section and tension. Each term's
 * part is what changing it alone does, averaged over all orders in which the terms can be changed
 * (Shapley 1953, A value for n-person games): no order is favoured and the parts add up to the difference.
 * A side's `spokeLength` enters through E·A/L and T/L, apart from its angles.
 *
 * Throws `wheel-geometry`, and `wheel-cannot-stand` when a, b or a wheel between them does not stand.
 */
export function explainDifference(a: Wheel, b: Wheel, options: ModelOptions = {}): Difference {
  const [from, to] = [partsOf(a, options), partsOf(b, options)];
  const differ = keys.filter((key) => {
    const theirs = reads(to, key);
    return reads(from, key).some((value, i) => value !== theirs[i]);
  });
  const n = differ.length;
  const values: Stiffnesses[] = [];
  for (let set = 0; set < 1 << n; set++) {
    const taken = new Set(differ.filter((_, i) => set & (1 << i)));
    const parts = mixed(from, to, taken);
    try {
      values.push(stiffnessOf(parts, options));
    } catch (error) {
      if (set === 0 || set === (1 << n) - 1) throw error;
      refuse(
        `Between the two wheels lies one that does not stand: the first with the second's ${[
          ...taken,
        ]
          .map((key) => differenceTerms[key])
          .join(', ')}.`,
        'Compare wheels nearer to each other, or with less tension.',
      );
    }
  }
  const factorial = (k: number): number => (k <= 1 ? 1 : k * factorial(k - 1));
  const whole = values[values.length - 1];
  const lateral = whole.lateralNPerMm - values[0].lateralNPerMm;
  const radial = whole.radialNPerMm - values[0].radialNPerMm;
  const share = (part: number, total: number, size: number): number | null =>
    Math.abs(total) > 1e-6 * size ? part / total : null;
  const terms = differ.map((key, i): DifferenceTerm => {
    let [lateralNPerMm, radialNPerMm] = [0, 0];
    for (let set = 0; set < 1 << n; set++) {
      if (set & (1 << i)) continue;
      let size = 0;
      for (let bit = 0; bit < n; bit++) if (set & (1 << bit)) size++;
      const weight = (factorial(size) * factorial(n - size - 1)) / factorial(n);
      const [without, within] = [values[set], values[set | (1 << i)]];
      lateralNPerMm += weight * (within.lateralNPerMm - without.lateralNPerMm);
      radialNPerMm += weight * (within.radialNPerMm - without.radialNPerMm);
    }
    return {
      key,
      term: differenceTerms[key],
      lateralNPerMm,
      radialNPerMm,
      lateralShare: share(lateralNPerMm, lateral, whole.lateralNPerMm),
      radialShare: share(radialNPerMm, radial, whole.radialNPerMm),
    };
  });
  terms.sort((x, y) => Math.abs(y.lateralNPerMm) - Math.abs(x.lateralNPerMm));
  return { a: values[0], b: whole, lateralNPerMm: lateral, radialNPerMm: radial, terms };
}
