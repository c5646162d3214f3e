/**
 * A spoke that sounds: a slender beam under tension T, its ends kept from moving sideways and held against
 * turning by springs, between pinned and clamped.
 *
 *   E·I·w'''' − T·w'' = μ·ω²·w,   w = 0 and E·I·w'' = ±k·w' at the ends
 *
 * With b the wave number and a the decay of the bent ends (both times the length): a² − b² = T·L²/(E·I),
 * a·b = ω·L²·√(μ/(E·I)). Ends that turn against each other and with each other answer unit moments with
 *
 *   (b·tan b/2 + a·tanh a/2)/(a² + b²)   and   (a·coth a/2 − b·cot b/2)/(a² + b²)   times L/(E·I),
 *
 * and two springs on that give one equation whose n-th root lies in nπ ≤ b < (n+1)π, for any springs.
 * After Morse, Vibration and Sound (1948), the stiff string; shear and rotatory inertia are left out
 * (slenderness L/d above 100). Pure functions; spokes plucked by hand and sounding under a brake use the same.
 */
import type { SpokeSide } from '../evidence/index.ts';

/** A uniform beam. */
export interface TensionedBeam {
  lengthM: number;
  /** E·I in the plane of the vibration. */
  bendingNm2: number;
  massKgM: number;
}

/** Springs against turning at the two ends, N·m/rad: 0 is pinned, Infinity clamped. */
export type BeamEnds = readonly [startNmPerRad: number, endNmPerRad: number];

export const pinnedEnds: BeamEnds = [0, 0];
export const clampedEnds: BeamEnds = [Infinity, Infinity];

/**
 * A spoke as beam. `flat`: a bladed spoke bends about its thin side, as when it is plucked out of the wheel's
 * plane; `edge`: about its wide side. Round ones, and those without width and thickness, are alike both ways.
 * A blade filling less than 89 % of width × thickness counts as an ellipse, else as a rectangle.
 */
export function spokeBeam(
  side: SpokeSide,
  lengthM: number,
  plane: 'flat' | 'edge' = 'flat',
): TensionedBeam {
  const { areaM2, widthM, thicknessM } = side;
  const massKgM = side.densityKgM3 * areaM2;
  let secondMomentM4 = areaM2 ** 2 / (4 * Math.PI);
  if (widthM !== undefined && thicknessM !== undefined) {
    const [thin, wide] = [Math.min(widthM, thicknessM), Math.max(widthM, thicknessM)];
    const depth = plane === 'flat' ? thin : wide;
    const fullness = areaM2 / (widthM * thicknessM);
    secondMomentM4 = (areaM2 * depth ** 2) / (fullness < 0.89 ? 16 : 12);
  }
  return { lengthM, bendingNm2: side.materialEPa * secondMomentM4, massKgM };
}

/** Share of a clamped end's effect that a spring has at this tension: 0 pinned, 1 clamped. */
export function endFixity(beam: TensionedBeam, tensionN: number, springNmPerRad: number): number {
  if (springNmPerRad === Infinity) return 1;
  return springNmPerRad / (springNmPerRad + Math.sqrt(beam.bendingNm2 * Math.max(0, tensionN)));
}

/** The plain string without bending stiffness, n-th partial, Hz. */
export function stringFrequencyHz(beam: TensionedBeam, tensionN: number, mode = 1): number {
  return (mode / (2 * beam.lengthM)) * Math.sqrt(tensionN / beam.massKgM);
}

/** Tension by the plain string formula, N: too high for every real spoke. */
export function stringTensionN(beam: TensionedBeam, frequencyHz: number, mode = 1): number {
  return beam.massKgM * ((2 * beam.lengthM * frequencyHz) / mode) ** 2;
}

/** Pitch of the n-th partial, Hz. Tension is zero or more. */
export function beamFrequencyHz(
  beam: TensionedBeam,
  tensionN: number,
  ends: BeamEnds,
  mode = 1,
): number {
  const { lengthM, bendingNm2, massKgM } = beam;
  const pull = (tensionN * lengthM ** 2) / bendingNm2;
  const decay = (b: number): number => Math.sqrt(b * b + pull);
  const [low, high] = [mode * Math.PI, (mode + 1) * Math.PI];
  const b = rootOf((at) => frequencyEquation(at, decay(at), fixities(beam, ends)), low, high);
  return ((decay(b) * b) / (2 * Math.PI * lengthM ** 2)) * Math.sqrt(bendingNm2 / massKgM);
}

/**
 * Tension of a spoke that sounds at a pitch, N, the inverse of `beamFrequencyHz`. Null when even without any
 * tension the beam would sound higher.
 */
export function beamTensionN(
  beam: TensionedBeam,
  frequencyHz: number,
  ends: BeamEnds,
  mode = 1,
): number | null {
  const { lengthM, bendingNm2, massKgM } = beam;
  const product = 2 * Math.PI * frequencyHz * lengthM ** 2 * Math.sqrt(massKgM / bendingNm2);
  const [low, high] = [mode * Math.PI, (mode + 1) * Math.PI];
  const b = rootOf((at) => frequencyEquation(at, product / at, fixities(beam, ends)), low, high);
  const pull = (product / b) ** 2 - b * b;
  return pull < -1e-9 * b * b ? null : (Math.max(0, pull) * bendingNm2) / lengthM ** 2;
}

/**
 * Springs, alike at both ends, with which a beam of known tension sounds at this pitch, N·m/rad. `below`: the
 * pitch is lower than with pinned ends, `above`: higher than with clamped ones.
 */
export function endSpringFrom(
  beam: TensionedBeam,
  tensionN: number,
  frequencyHz: number,
): number | 'below' | 'above' {
  const pitch = (ends: BeamEnds): number => beamFrequencyHz(beam, tensionN, ends);
  const rounding = 1e-9;
  if (frequencyHz < pitch(pinnedEnds) * (1 - rounding)) return 'below';
  if (frequencyHz > pitch(clampedEnds) * (1 + rounding)) return 'above';
  const scale = beam.bendingNm2 / beam.lengthM + Math.sqrt(beam.bendingNm2 * Math.abs(tensionN));
  const springAt = (share: number): number =>
    share >= 1 ? Infinity : (scale * share) / (1 - share);
  let [low, high] = [0, 1];
  for (let i = 0; i < 60; i++) {
    const share = (low + high) / 2;
    const spring = springAt(share);
    if (pitch([spring, spring]) < frequencyHz) low = share;
    else high = share;
  }
  return springAt((low + high) / 2);
}

/** k/(k + E·I/L) at each end: finite for clamped ends too. */
function fixities({ bendingNm2, lengthM }: TensionedBeam, ends: BeamEnds): [number, number] {
  const share = (spring: number): number =>
    spring === Infinity ? 1 : spring / (spring + bendingNm2 / lengthM);
  return [share(ends[0]), share(ends[1])];
}

/** Rises from below zero to above it between nπ and (n+1)π. */
function frequencyEquation(b: number, a: number, [p, q]: [number, number]): number {
  const scale = a * a + b * b;
  const tanh = Math.tanh(a / 2);
  const against = (b * Math.tan(b / 2) + a * tanh) / scale;
  // a·coth(a/2) → 2 as a → 0.
  const together = ((a === 0 ? 2 : a / tanh) - b / Math.tan(b / 2)) / scale;
  const mean = (against + together) / 2;
  return (1 - p) * (1 - q) + mean * (p * (1 - q) + q * (1 - p)) + against * together * p * q;
}

/** Root in an open bracket whose ends may be poles. Without springs it lies at the lower end. */
function rootOf(f: (b: number) => number, low: number, high: number): number {
  let [from, to] = [low, high];
  for (let i = 0; i < 80; i++) {
    const middle = (from + to) / 2;
    if (middle === from || middle === to) break;
    if (f(middle) < 0) from = middle;
    else to = middle;
  }
  return (from + to) / 2;
}
