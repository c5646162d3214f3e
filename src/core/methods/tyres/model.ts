/**
 * A tyre on a flat road. Each cross-section answers for itself (the tyre is slender: its section is small
 * beside the wheel), so the load is the pressure times the area that lies flat, F = p·∫ flat(x) dx. For
 * small drops flat ∝ drop and length ∝ √drop: F ∝ p·drop^(3/2), the law that Renart and Roura-Grabulosa
 * (2019, Am J Phys 87:102, abstract) give and found to agree with two bicycle tyres.
 */
import { pressSection, sectionHeightM, type TyreSection } from './section.ts';

/** A tyre's section and the radius of the wheel over it; metres. */
export interface TyreShape extends TyreSection {
  /** From the axle to the tread, unloaded. */
  outerRadiusM: number;
}

/** What lies flat on the road. */
export interface ContactPatch {
  lengthM: number;
  /** In its middle. */
  widthM: number;
  areaM2: number;
}

/** Simpson's rule on x = half·sin θ, which takes the root at the patch's ends away. */
const steps = 32;

/** The area that lies flat at a drop, with length and width. Throws RangeError as `pressSection` does. */
export function contactPatch(shape: TyreShape, dropM: number): ContactPatch {
  const { outerRadiusM: radius } = shape;
  const half = Math.sqrt(2 * radius * dropM - dropM ** 2);
  let sum = 0;
  for (let i = 0; i <= steps; i++) {
    const theta = (Math.PI / 2) * (i / steps);
    const x = half * Math.sin(theta);
    const here = Math.max(0, dropM - (radius - Math.sqrt(radius ** 2 - x ** 2)));
    const weight = i === 0 || i === steps ? 1 : i % 2 === 1 ? 4 : 2;
    sum += weight * pressSection(shape, here).flatM * half * Math.cos(theta);
  }
  const areaM2 = (2 * sum * (Math.PI / 2)) / (3 * steps);
  return { lengthM: 2 * half, widthM: pressSection(shape, dropM).flatM, areaM2 };
}

/** Load that a drop takes, N: pressure times the flat area. */
export function loadAtDropN(shape: TyreShape, pressurePa: number, dropM: number): number {
  return dropM <= 0 ? 0 : pressurePa * contactPatch(shape, dropM).areaM2;
}

/** Pressure at which a load presses the tyre down by `dropM`, Pa. */
export function pressureForDropPa(shape: TyreShape, loadN: number, dropM: number): number {
  return loadN / contactPatch(shape, dropM).areaM2;
}

/**
 * Drop under a load, m; Infinity where not even the whole height of the section carries it. Regula falsi
 * (Illinois) on load^(2/3), which is nearly straight in the drop.
 */
export function dropUnderLoadM(shape: TyreShape, pressurePa: number, loadN: number): number {
  const wanted = loadN ** (2 / 3);
  const off = (drop: number): number => loadAtDropN(shape, pressurePa, drop) ** (2 / 3) - wanted;
  let low = 0;
  let high = sectionHeightM(shape) * 0.98;
  let offLow = -wanted;
  let offHigh = off(high);
  if (offHigh < 0) return Infinity;
  let drop = high;
  for (let round = 0; round < 100; round++) {
    const before = drop;
    drop = (low * offHigh - high * offLow) / (offHigh - offLow);
    const here = off(drop);
    if (Math.abs(drop - before) < 1e-12 * drop || here === 0) break;
    if (here < 0) {
      [low, offLow] = [drop, here];
      if (round > 0 && before < drop) offHigh /= 2;
    } else {
      [high, offHigh] = [drop, here];
      if (round > 0 && before > drop) offLow /= 2;
    }
  }
  return drop;
}

/** Vertical stiffness dF/d(drop) at a drop, N/m, by central difference. */
export function stiffnessAtDropNPerM(shape: TyreShape, pressurePa: number, dropM: number): number {
  const step = dropM * 1e-4;
  return (
    (loadAtDropN(shape, pressurePa, dropM + step) - loadAtDropN(shape, pressurePa, dropM - step)) /
    (2 * step)
  );
}

/**
 * How often its load a wheel can take, slowly, before the carcass meets the rim's flanges: above the
 * beads they stand `flangeM` high, and the tyre itself is `wallM` thick.
 */
export function loadsToRim(
  shape: TyreShape,
  pressurePa: number,
  loadN: number,
  { flangeM, wallM }: { flangeM: number; wallM: number },
): number {
  const room = sectionHeightM(shape) - flangeM - wallM;
  return room <= 0 ? 0 : loadAtDropN(shape, pressurePa, room) / loadN;
}

/**
 * What a pressure does to rolling resistance on smooth asphalt, as a factor on that at `referencePa`:
 * (p/reference)^−n. Lim et al. 2011 (Med Sci Sports Exerc 43:853): 5.575 N at 414 kPa, 4.215 N at 828 kPa,
 * n = 0.40; their scatter and Rothhämel 2023 (factor two to three over the range of pressures) leave n
 * between 0.1 and 0.8. Least factor first.
 */
export function rollingFactorOnSmooth(pressurePa: number, referencePa: number): [number, number] {
  const ends = [0.1, 0.8].map((n) => (pressurePa / referencePa) ** -n);
  return [Math.min(...ends), Math.max(...ends)];
}
