/**
 * A rim's section out of its outline: thin-walled closed profile of one cell, as in the theory of
 * thin-walled beams (Bredt 1896 for torsion; Bredt-Batho shear flow for the shear centre).
 */
import { LapbenchError } from '../units/index.ts';

/** A point of the outline: outwards from any common level, and to the left of the wheel's plane. */
export interface OutlinePoint {
  radialM: number;
  lateralM: number;
}

export interface SectionOptions {
  /** Where the outline was taken: along the middle of the wall (default) or along its outside. */
  outlineAt?: 'middle' | 'outside';
}

export interface RimSection {
  areaM2: number;
  /** Centroid, in the levels of the points. */
  centroidRadialM: number;
  centroidLateralM: number;
  /** Resists bending in the wheel's plane. */
  iRadialM4: number;
  /** Resists bending out of it. */
  iLateralM4: number;
  /** Bredt: `4 A² / ∮ ds/t`. */
  torsionM4: number;
  /** From the centroid to the shear centre, positive towards the hub. */
  shearCentreOffsetM: number;
  /** Inside the wall's middle line. */
  enclosedAreaM2: number;
  perimeterM: number;
}

function fail(message: string, remedy: string): never {
  throw new LapbenchError({
    code: 'wheel-geometry',
    place: { field: 'rim.section' },
    message,
    remedy,
  });
}

type Pair = [number, number];

const signedArea = (points: readonly Pair[]): number =>
  points.reduce((sum, [x, y], i) => {
    const [u, v] = points[(i + 1) % points.length];
    return sum + (x * v - u * y) / 2;
  }, 0);

/** Whether two walls that are not neighbours cross. */
function crossesItself(points: readonly Pair[]): boolean {
  const n = points.length;
  const turn = (a: Pair, b: Pair, c: Pair): number =>
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
  for (let i = 0; i < n; i++) {
    for (let j = i + 2; j < n; j++) {
      if (i === 0 && j === n - 1) continue;
      const [a, b, c, d] = [points[i], points[i + 1], points[j], points[(j + 1) % n]];
      if (turn(a, b, c) * turn(a, b, d) < 0 && turn(c, d, a) * turn(c, d, b) < 0) return true;
    }
  }
  return false;
}

/** Moves every wall of an anticlockwise outline inwards by half its thickness; corners stay sharp. */
function inwards(points: readonly Pair[], thickness: readonly number[]): Pair[] {
  const n = points.length;
  const walls = points.map(([x, y], i) => {
    const [u, v] = points[(i + 1) % n];
    const length = Math.hypot(u - x, v - y);
    // To the left of an anticlockwise walk is inside.
    return { nx: -(v - y) / length, ny: (u - x) / length };
  });
  return points.map(([x, y], i) => {
    const a = walls[(i + n - 1) % n];
    const b = walls[i];
    const [da, db] = [thickness[(i + n - 1) % n] / 2, thickness[i] / 2];
    const det = a.nx * b.ny - a.ny * b.nx;
    // Walls in line, as round a bend of many points: one step along the mean of their normals.
    if (Math.abs(det) < 1e-6)
      return [x + (a.nx * da + b.nx * db) / 2, y + (a.ny * da + b.ny * db) / 2];
    return [x + (da * b.ny - db * a.ny) / det, y + (db * a.nx - da * b.nx) / det];
  });
}

/**
 * Section properties of a closed thin-walled profile. `points` go once round, in either sense, without
 * repeating the first; `wallThicknessM` is one number or one for each wall from its point to the next.
 * Errors of the theory grow with thickness over width: about 1 % at a tenth. Throws `wheel-geometry` for
 * fewer than three points, walls without length or thickness, and outlines that cross themselves.
 */
export function sectionFromOutline(
  points: readonly OutlinePoint[],
  wallThicknessM: number | readonly number[],
  options: SectionOptions = {},
): RimSection {
  const n = points.length;
  if (n < 3) fail(`An outline of ${n} points encloses nothing.`, 'Give three points or more.');
  let thickness =
    typeof wallThicknessM === 'number' ? points.map(() => wallThicknessM) : [...wallThicknessM];
  if (thickness.length !== n) {
    fail(
      `${thickness.length} wall thicknesses for ${n} walls.`,
      'Give one for all, or one a wall.',
    );
  }
  if (!thickness.every((t) => t > 0 && Number.isFinite(t))) {
    fail('A wall has no thickness.', 'Give wall thicknesses above zero, in metres.');
  }
  let outline = points.map(({ radialM, lateralM }): Pair => [radialM, lateralM]);
  if (
    !outline.every(
      ([x, y], i) => Math.hypot(outline[(i + 1) % n][0] - x, outline[(i + 1) % n][1] - y) > 0,
    )
  ) {
    fail(
      'Two neighbouring points of the outline are the same.',
      'Leave one out, and do not repeat the first.',
    );
  }
  if (crossesItself(outline))
    fail('The outline crosses itself.', 'Give its points in order, once round.');
  if (signedArea(outline) < 0) {
    // Each wall keeps its thickness when the walk is reversed.
    outline = outline.reverse();
    const walls = thickness.slice(0, n - 1).reverse();
    thickness = [...walls, thickness[n - 1]];
  }
  if (options.outlineAt === 'outside') {
    const middle = inwards(outline, thickness);
    if (!(signedArea(middle) > 0) || crossesItself(middle)) {
      fail('The walls are thicker than the outline is wide.', 'Check the thickness: metres.');
    }
    outline = middle;
  }
  return properties(outline, thickness);
}

/** Properties of an anticlockwise middle line; x outwards, y to the left. */
function properties(outline: readonly Pair[], thickness: readonly number[]): RimSection {
  const n = outline.length;
  const next = (i: number): Pair => outline[(i + 1) % n];
  const lengths = outline.map(([x, y], i) => Math.hypot(next(i)[0] - x, next(i)[1] - y));
  const sum = (of: (i: number) => number): number =>
    lengths.reduce((total, _, i) => total + of(i), 0);
  const areaM2 = sum((i) => lengths[i] * thickness[i]);
  const centroid = [0, 1].map(
    (k) => sum((i) => (lengths[i] * thickness[i] * (outline[i][k] + next(i)[k])) / 2) / areaM2,
  );
  const from = outline.map(([x, y]): Pair => [x - centroid[0], y - centroid[1]]);
  const to = (i: number): Pair => from[(i + 1) % n];
  const second = (p: 0 | 1, q: 0 | 1): number =>
    sum((i) => {
      const [a, b] = [from[i], to(i)];
      const straight = 2 * a[p] * a[q] + a[p] * b[q] + b[p] * a[q] + 2 * b[p] * b[q];
      return (lengths[i] * thickness[i] * straight) / 6;
    });
  const iRadialM4 = second(0, 0);
  const iLateralM4 = second(1, 1);
  const mixed = second(0, 1);

  // Shear flow of 1 N to the left in the profile cut open, then the constant that leaves it untwisted.
  const det = iRadialM4 * iLateralM4 - mixed * mixed;
  const weight = ([x, y]: Pair): number => (iRadialM4 * y - mixed * x) / det;
  let flow = 0;
  let slip = 0;
  let moment = 0;
  for (let i = 0; i < n; i++) {
    const [a, b] = [from[i], to(i)];
    const [wa, wb] = [weight(a), weight(b)];
    const l = lengths[i];
    // The weight runs straight along the wall, so the flow is a parabola: Simpson's rule is exact.
    const middle = flow - thickness[i] * l * (3 * wa + wb) * 0.125;
    const end = flow - (thickness[i] * l * (wa + wb)) / 2;
    const carried = (l * (flow + 4 * middle + end)) / 6;
    slip += carried / thickness[i];
    moment += (carried * (a[0] * b[1] - b[0] * a[1])) / l;
    flow = end;
  }
  const enclosedAreaM2 = signedArea(outline);
  const compliance = sum((i) => lengths[i] / thickness[i]);
  const closing = -slip / compliance;
  const arm = moment + closing * 2 * enclosedAreaM2;
  return {
    areaM2,
    centroidRadialM: centroid[0],
    centroidLateralM: centroid[1],
    iRadialM4,
    iLateralM4,
    torsionM4: (4 * enclosedAreaM2 ** 2) / compliance,
    shearCentreOffsetM: -arm,
    enclosedAreaM2,
    perimeterM: sum((i) => lengths[i]),
  };
}
