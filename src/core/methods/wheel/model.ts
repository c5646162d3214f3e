/**
 * What the finding says of a wheel beyond `core/structure`, which holds the equations: the sign of a
 * spoke's change under braking, and the values behind each term of a comparison in words.
 */
import type { Side, Wheel } from '../../evidence/index.ts';
import { hubTurn } from '../../structure/index.ts';
import type { DifferenceKey, WheelMechanics } from '../../structure/index.ts';
import type { WheelFinding, WheelSpoke } from './result.ts';

const sides: readonly Side[] = ['left', 'right'];
const degree = Math.PI / 180;

/** Changes below this share of the largest are round-off: the spoke feels nothing. */
const nothing = 1e-6;

/** Gains or loses tension under braking: from the mechanics, never from the name of the role. */
export function underBraking(
  changePerNm: number,
  largestPerNm: number,
): WheelSpoke['underBraking'] {
  if (Math.abs(changePerNm) <= nothing * largestPerNm || largestPerNm === 0) return 'unchanged';
  return changePerNm > 0 ? 'gains' : 'loses';
}

/** All spokes as the finding lists them. */
export function spokesOf(mechanics: WheelMechanics): WheelSpoke[] {
  const largest = Math.max(...mechanics.spokes.map((one) => Math.abs(one.deltaTensionPerNm)));
  return mechanics.spokes.map((one) => ({
    spoke: one.spoke,
    side: one.side,
    role: one.role,
    lengthM: one.lengthM,
    bracingAngleDeg: one.bracingAngleRad / degree,
    tensionN: one.tensionN,
    deltaTensionPerNm: one.deltaTensionPerNm,
    deltaTensionRangePerNm: one.deltaTensionRangePerNm,
    underBraking: underBraking(one.deltaTensionPerNm, largest),
    deltaTensionPerSideN: one.deltaTensionPerSideN,
    deltaTensionPerRadialN: one.deltaTensionPerRadialN,
  }));
}

/** The two sides in short. */
export function sidesOf(mechanics: WheelMechanics): WheelFinding['sides'] {
  return sides.map((side) => {
    const own = mechanics.spokes.filter((one) => one.side === side);
    return {
      side,
      count: own.length,
      meanTensionN: own.reduce((sum, one) => sum + one.tensionN, 0) / own.length,
      lengthM: own[0].lengthM,
      bracingAngleDeg: own[0].bracingAngleRad / degree,
    };
  });
}

/** `left 16, right 8 → left 10, right 10`: what differs, in the units of a workshop. */
export function changeInWords(
  key: DifferenceKey,
  a: { wheel: Wheel; sides: WheelFinding['sides'] },
  b: { wheel: Wheel; sides: WheelFinding['sides'] },
): string {
  const [from, to] = [valueInWords(key, a), valueInWords(key, b)];
  return `${from} → ${to}`;
}

/** Three digits without a power of ten: 1800, not 1.80e+3. */
const three = (value: number): string => String(Number(value.toPrecision(3)));

function valueInWords(
  key: DifferenceKey,
  { wheel, sides: own }: { wheel: Wheel; sides: WheelFinding['sides'] },
): string {
  const bySide = (of: (side: Side) => string): string => {
    const [left, right] = sides.map(of);
    return left === right ? left : `left ${left}, right ${right}`;
  };
  const sideOf = (side: Side) => own.find((one) => one.side === side)!;
  const { rim, spokes } = wheel;
  const words: Record<DifferenceKey, () => string> = {
    spokeCount: () => `${spokes.left.count} + ${spokes.right.count}`,
    lacing: () => bySide((side) => lacingInWords(wheel, side, sideOf(side))),
    spokeLength: () => `${bySide((side) => (1000 * sideOf(side).lengthM).toFixed(1))} mm`,
    bracingAngle: () => `${bySide((side) => sideOf(side).bracingAngleDeg.toFixed(2))}°`,
    spokeSection: () =>
      `${bySide((side) => three((spokes[side].materialEPa * spokes[side].areaM2) / 1000))} kN`,
    rimSize: () => `${(1000 * rim.radiusM).toFixed(1)} mm`,
    rimSection: () =>
      `E·I ${three(rim.materialEPa * rim.iLateralM4)} and ${three(rim.materialEPa * rim.iRadialM4)}, G·J ${three(rim.materialGPa * rim.torsionM4)} N m²`,
    tension: () => `${bySide((side) => sideOf(side).meanTensionN.toFixed(0))} N`,
  };
  return words[key]();
}

/** `2-cross (5.4°)`: crosses, and the angle between spoke and radius seen along the axle. */
function lacingInWords(
  { hub, spokes }: Wheel,
  side: Side,
  { lengthM, bracingAngleDeg }: WheelFinding['sides'][number],
): string {
  const { cross } = spokes[side];
  if (hubTurn(spokes[side]) === 0) return 'radial';
  // Law of sines in the triangle of axle, flange hole and nipple.
  const across = hub.flangeRadiusM[side] * Math.sin(hubTurn(spokes[side]));
  const angle = Math.asin(across / (lengthM * Math.cos(bracingAngleDeg * degree))) / degree;
  return `${cross}-cross (${angle.toFixed(1)}°)`;
}
