/**
 * One cross-section of an inflated tyre pressed on a flat road: a thin carcass that does not stretch,
 * held at two beads, its free sides arcs of circles because the same tension meets the same pressure
 * all along them (the section of Rotta 1949, from memory, and of Renart and Roura-Grabulosa 2019,
 * Am J Phys 87:102, of whom the abstract was read: a toroid of thin inextensible walls on a rim).
 */

/** A section as it stands unloaded; metres. */
export interface TyreSection {
  /** Across the inflated tyre. */
  widthM: number;
  /** Between the beads: the rim's inner width. */
  beadWidthM: number;
}

/** A section pressed down. */
export interface PressedSection {
  /** Width of the flat on the road, m. */
  flatM: number;
  /** Area inside carcass and bead line, m². */
  areaM2: number;
  /** Radius of the sides, m: tension of the carcass is pressure times this. */
  sideRadiusM: number;
}

/** Height of the unloaded section above the line of the beads, m. */
export function sectionHeightM({ widthM, beadWidthM }: TyreSection): number {
  return widthM / 2 + Math.sqrt(widthM ** 2 - beadWidthM ** 2) / 2;
}

/** Length of the carcass from bead to bead, m: an arc of the circle whose chord is the bead line. */
export function carcassLengthM({ widthM, beadWidthM }: TyreSection): number {
  return widthM * (Math.PI - Math.asin(beadWidthM / widthM));
}

/**
 * The section pressed down by `dropM`. Sides of radius r turn through the angle s from the flat to the
 * beads: height r·(1 − cos s), flat w − 2·r·sin s, carcass flat + 2·r·s. Its length being kept, one
 * equation in s is left, whose left side only grows: w + 2·H·(s − sin s)/(1 − cos s) = L.
 *
 * Throws RangeError when the drop is below zero or not less than the height, or the rim is not narrower
 * than the tyre.
 */
export function pressSection(section: TyreSection, dropM: number): PressedSection {
  const { widthM, beadWidthM } = section;
  if (!(beadWidthM > 0 && beadWidthM < widthM))
    throw new RangeError('the rim must be narrower than the tyre');
  const height = sectionHeightM(section) - dropM;
  if (!(dropM >= 0 && height > 0)) throw new RangeError(`a drop of ${dropM} m is none`);
  const wanted = (carcassLengthM(section) - beadWidthM) / (2 * height);
  let low = 0;
  let high = 2 * Math.PI;
  // A bisection with Newton inside it: the function is smooth and grows from 0 without bound.
  let angle = Math.PI - Math.asin(beadWidthM / widthM);
  for (let round = 0; round < 80; round++) {
    const turn = 1 - Math.cos(angle);
    const off = (angle - Math.sin(angle)) / turn - wanted;
    if (off > 0) high = angle;
    else low = angle;
    const slope = 1 - ((angle - Math.sin(angle)) * Math.sin(angle)) / turn ** 2;
    const next = angle - off / slope;
    const within = next > low && next < high ? next : (low + high) / 2;
    if (Math.abs(within - angle) < 1e-15 * angle) break;
    angle = within;
  }
  const radius = height / (1 - Math.cos(angle));
  // Rounding may leave a hair below zero where nothing is pressed down.
  const flatM = Math.max(0, beadWidthM - 2 * radius * Math.sin(angle));
  // Trapezium under the flat's ends and beads, plus a segment of a circle on each side.
  const areaM2 = ((flatM + beadWidthM) / 2) * height + radius ** 2 * (angle - Math.sin(angle));
  return { flatM, areaM2, sideRadiusM: radius };
}
