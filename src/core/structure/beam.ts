/**
 * One straight piece of rim between two neighbouring nodes of the ring, as a 12 × 12 stiffness.
 *
 * Six freedoms a node in the directions of its own place at the rim: displacements radial, tangential,
 * lateral, then rotations about those three. In these directions every piece of a uniform ring has the
 * same matrix. Beam theory: Euler-Bernoulli, or Timoshenko's when shear areas are given (Przemieniecki
 * 1968, Theory of Matrix Structural Analysis, the 3-D beam and its geometric stiffness under axial force).
 */

/** Stiffnesses of the ring's section. */
export interface RingSection {
  /** E·A. */
  axialStiffnessN: number;
  /** E·I in the wheel's plane. */
  radialBendingNm2: number;
  /** E·I out of the wheel's plane. */
  lateralBendingNm2: number;
  /** G·J. */
  torsionNm2: number;
  /** From the centroid to the shear centre, positive towards the hub. */
  shearCentreOffsetM: number;
  /** G·(shear area) in each direction; left out: no shear flexibility. */
  shearStiffnessN?: { radial: number; lateral: number };
}

export const freedoms = 6;
const size = 2 * freedoms;

/** Bending of a beam over (deflection, slope) at both ends. */
function bending(ei: number, length: number, shearStiffness: number | undefined): number[][] {
  const phi = shearStiffness ? (12 * ei) / (shearStiffness * length * length) : 0;
  const k = ei / (length ** 3 * (1 + phi));
  const l = length;
  return [
    [12 * k, 6 * l * k, -12 * k, 6 * l * k],
    [6 * l * k, (4 + phi) * l * l * k, -6 * l * k, (2 - phi) * l * l * k],
    [-12 * k, -6 * l * k, 12 * k, -6 * l * k],
    [6 * l * k, (2 - phi) * l * l * k, -6 * l * k, (4 + phi) * l * l * k],
  ];
}

/** What an axial force (tension positive) adds to bending, consistent with the cubic shape. */
function underForce(force: number, length: number): number[][] {
  const k = force / (30 * length);
  const l = length;
  return [
    [36 * k, 3 * l * k, -36 * k, 3 * l * k],
    [3 * l * k, 4 * l * l * k, -3 * l * k, -l * l * k],
    [-36 * k, -3 * l * k, 36 * k, -3 * l * k],
    [3 * l * k, -l * l * k, -3 * l * k, 4 * l * l * k],
  ];
}

/** Adds `small` over the freedoms that `rows` combine: each row is a list of (freedom, factor). */
function addCombined(
  into: Float64Array,
  small: number[][],
  rows: readonly (readonly (readonly [number, number])[])[],
): void {
  for (let a = 0; a < rows.length; a++) {
    for (let b = 0; b < rows.length; b++) {
      for (const [i, fi] of rows[a]) {
        for (const [j, fj] of rows[b]) into[i * size + j] += fi * fj * small[a][b];
      }
    }
  }
}

/**
 * Stiffness of the chord between two nodes `stepRad` apart on a ring of `radiusM`, carrying `forceN`
 * (tension positive). Row-major 12 × 12, symmetric.
 */
export function rimPiece(
  section: RingSection,
  radiusM: number,
  stepRad: number,
  forceN: number,
): Float64Array {
  const half = stepRad / 2;
  const length = 2 * radiusM * Math.sin(half);
  const cos = Math.cos(half);
  const sin = Math.sin(half);
  // Radial and tangential of the chord's middle out of those of each end.
  const radial = (node: number, base: number): [number, number][] => {
    const s = node === 0 ? sin : -sin;
    return [
      [node * freedoms + base, cos],
      [node * freedoms + base + 1, s],
    ];
  };
  const tangential = (node: number, base: number): [number, number][] => {
    const s = node === 0 ? -sin : sin;
    return [
      [node * freedoms + base, s],
      [node * freedoms + base + 1, cos],
    ];
  };
  const scaled = (rows: [number, number][], factor: number): [number, number][] =>
    rows.map(([i, f]) => [i, f * factor]);
  const lateral = (node: number): [number, number][] => [[node * freedoms + 2, 1]];
  const axialTurn = (node: number): [number, number][] => [[node * freedoms + 5, 1]];

  const matrix = new Float64Array(size * size);
  const rod = (k: number): number[][] => [
    [k, -k],
    [-k, k],
  ];
  addCombined(matrix, rod(section.axialStiffnessN / length), [tangential(0, 0), tangential(1, 0)]);
  addCombined(matrix, rod(section.torsionNm2 / length), [tangential(0, 3), tangential(1, 3)]);

  // Slope along the rim: of the radial displacement it is minus the turn about the axle's direction,
  // of the lateral displacement the turn about the radial one.
  const inPlane = [0, 1].flatMap((node) => [radial(node, 0), scaled(axialTurn(node), -1)]);
  addCombined(
    matrix,
    bending(section.radialBendingNm2, length, section.shearStiffnessN?.radial),
    inPlane,
  );
  const outOfPlane = [0, 1].flatMap((node) => [lateral(node), radial(node, 3)]);
  // Bending is free of twist at the shear centre, which moves sideways when the section twists.
  const atShearCentre = [0, 1].flatMap((node) => [
    [...lateral(node), ...scaled(tangential(node, 3), section.shearCentreOffsetM)],
    radial(node, 3),
  ]);
  addCombined(
    matrix,
    bending(section.lateralBendingNm2, length, section.shearStiffnessN?.lateral),
    atShearCentre,
  );
  if (forceN !== 0) {
    addCombined(matrix, underForce(forceN, length), inPlane);
    addCombined(matrix, underForce(forceN, length), outOfPlane);
  }
  return matrix;
}
