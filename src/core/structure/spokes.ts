/**
 * Lacing: where each spoke begins at the rim, where it ends at the flange, and how hard it pulls.
 *
 * Axes: seen from the left, the wheel rolls forwards turning anticlockwise; angles round the rim grow in
 * that direction of rotation. At each place of the rim stand the radial direction (outwards), the
 * tangential direction (with the rotation) and the lateral direction (to the left).
 */
import type { BySide, Side, SpokeSide, Wheel } from '../evidence/index.ts';
import { LapbenchError } from '../units/index.ts';
import type { Problem } from '../units/index.ts';

/** Geometry alone: a trailing spoke's rim end lies behind its flange hole in the direction of rotation. */
export type SpokeRole = 'leading' | 'trailing' | 'radial';

/** All spokes of a side are alike but for the direction of their turn. */
export interface SideShape {
  count: number;
  /** Angle between the spoke and the radial plane through its nipple, seen along the axle; 0 is radial. */
  inPlaneAngleRad: number;
  /** Bracing angle: between the spoke and the wheel's plane. */
  bracingAngleRad: number;
  lengthM: number;
  /** E·A. */
  axialStiffnessN: number;
  tensionN: number;
}

/** One spoke in the directions (radial, tangential, lateral) of its place at the rim. */
export interface Spoke {
  angleRad: number;
  side: Side;
  role: SpokeRole;
  /** Unit vector from nipple to flange hole. */
  direction: readonly [number, number, number];
  lengthM: number;
  axialStiffnessN: number;
  tensionN: number;
}

const sides: readonly Side[] = ['left', 'right'];

function fail(message: string, remedy: string, field?: string): never {
  throw new LapbenchError({
    code: 'wheel-geometry',
    ...(field ? { place: { field } } : {}),
    message,
    remedy,
  });
}

/**
 * Sides of the spokes round the rim: equal counts alternate left and right; at 2:1 the side with twice as
 * many stands on both sides of the other's: left, right, left. Throws `wheel-geometry` for other ratios.
 */
export function sideOrder(left: number, right: number): Side[] {
  const total = left + right;
  const unit: Side[] | null =
    left === right
      ? ['left', 'right']
      : left === 2 * right
        ? ['left', 'right', 'left']
        : right === 2 * left
          ? ['right', 'left', 'right']
          : null;
  if (!unit) {
    return fail(
      `${left} spokes left and ${right} right follow no known order round the rim.`,
      'Give both sides the same count, or one side twice as many as the other.',
      'spokes',
    );
  }
  return Array.from({ length: total }, (_, i) => unit[i % unit.length]);
}

/** How far round the hub a spoke of the side is turned from its place at the rim. */
export function hubTurn({ cross, count, hubTurnRad }: SpokeSide): number {
  return hubTurnRad ?? (2 * Math.PI * cross) / count;
}

/** Length and angles of one side's spokes, by the law of cosines and the flange's offset. */
function sideGeometry(
  wheel: Wheel,
  side: Side,
): Pick<SideShape, 'lengthM' | 'inPlaneAngleRad' | 'bracingAngleRad'> {
  const { rim, hub, spokes } = wheel;
  const { count, cross } = spokes[side];
  const field = `spokes.${side}`;
  if (!Number.isInteger(count) || count < 3) {
    fail(`${count} spokes on the ${side} side cannot hold a rim.`, 'Give at least 3.', field);
  }
  if (!Number.isInteger(cross) || cross < 0) {
    fail(`A cross of ${cross} is no lacing.`, 'Give 0 for radial, or 1 to 4.', `${field}.cross`);
  }
  if (hubTurn(spokes[side]) > 0 && count % 2 === 1) {
    fail(
      `${count} crossed spokes on the ${side} side leave one without a partner.`,
      'Crossed spokes come in pairs: give an even count, or cross 0.',
      `${field}.count`,
    );
  }
  const seat = rim.radiusM - rim.nippleOffsetM;
  const flange = hub.flangeRadiusM[side];
  const offset = hub.flangeOffsetM[side];
  if (!(flange > 0) || !(seat > flange)) {
    fail(
      `The ${side} flange radius of ${flange} m does not lie inside the nipples' radius of ${seat} m.`,
      'Check radiusM, nippleOffsetM and flangeRadiusM: all in metres.',
      'hub.flangeRadiusM',
    );
  }
  const turn = hubTurn(spokes[side]);
  if (!(turn >= 0)) {
    fail(
      `The ends of the ${side} spokes are turned by ${turn} rad round the hub.`,
      'Give an angle of zero or more.',
      `${field}.hubTurnDeg`,
    );
  }
  const along = seat - flange * Math.cos(turn);
  const across = flange * Math.sin(turn);
  const inPlane = Math.hypot(along, across);
  const inPlaneAngleRad = Math.atan2(across, along);
  // Past the tangent a spoke first leans on its neighbours' heads, then would run through the flange.
  if (turn + inPlaneAngleRad > (3 * Math.PI) / 4 || turn >= Math.PI) {
    fail(
      `${cross}-cross with ${count} spokes on the ${side} side would run through the hub.`,
      'Give fewer crosses or more spokes, or check hubTurnDeg where it is given.',
      `${field}.cross`,
    );
  }
  return {
    lengthM: Math.hypot(inPlane, offset),
    inPlaneAngleRad,
    bracingAngleRad: Math.atan2(offset, inPlane),
  };
}

/** Pull along the axle of a whole side for 1 N of tension. */
const lateralPull = (shape: Pick<SideShape, 'count' | 'bracingAngleRad'>): number =>
  shape.count * Math.sin(shape.bracingAngleRad);

/**
 * Both sides' shapes. A side without a tension gets the one that balances the other's along the axle,
 * `n₁·T₁·sin α₁ = n₂·T₂·sin α₂`; without any, the spokes are slack at rest (tension 0). Two given tensions
 * that do not balance within 5 % are used as given, with a warning. Throws `wheel-geometry`.
 */
export function sideShapes(wheel: Wheel): { shapes: BySide<SideShape>; warnings: Problem[] } {
  sideOrder(wheel.spokes.left.count, wheel.spokes.right.count);
  const shape = (side: Side): SideShape => ({
    count: wheel.spokes[side].count,
    ...sideGeometry(wheel, side),
    axialStiffnessN: wheel.spokes[side].materialEPa * wheel.spokes[side].areaM2,
    tensionN: wheel.spokes[side].meanTensionN ?? 0,
  });
  const shapes = { left: shape('left'), right: shape('right') };
  const warnings: Problem[] = [];
  for (const side of sides) {
    if (!(shapes[side].axialStiffnessN > 0)) {
      fail(
        `The spokes of the ${side} side have no stiffness.`,
        'Give materialEPa and areaM2 above zero.',
        `spokes.${side}`,
      );
    }
  }
  const pull = { left: lateralPull(shapes.left), right: lateralPull(shapes.right) };
  if (!(pull.left > 0 && pull.right > 0)) {
    fail(
      'A flange lies on the wrong side of the rim, so the two sides cannot balance along the axle.',
      'Give flangeOffsetM as a distance above zero on each side.',
      'hub.flangeOffsetM',
    );
  }
  const given = sides.filter((side) => wheel.spokes[side].meanTensionN !== null);
  if (given.length === 1) {
    const known = given[0];
    const other = known === 'left' ? 'right' : 'left';
    shapes[other].tensionN = (shapes[known].tensionN * pull[known]) / pull[other];
  } else if (given.length === 2) {
    const left = shapes.left.tensionN * pull.left;
    const right = shapes.right.tensionN * pull.right;
    const larger = Math.max(left, right);
    if (larger > 0 && Math.abs(left - right) > 0.05 * larger) {
      const balanced = (shapes.left.tensionN * pull.left) / pull.right;
      warnings.push({
        code: 'wheel-unbalanced',
        place: { field: 'spokes.right.meanTensionN' },
        message:
          `The sides do not balance along the axle: with ${shapes.left.tensionN.toFixed(0)} N left, ` +
          `the right side would need ${balanced.toFixed(0)} N, not ${shapes.right.tensionN.toFixed(0)} N.`,
        remedy: 'Leave one of the two tensions out and it follows from the other.',
      });
    }
  }
  return { shapes, warnings };
}

/**
 * All spokes round the rim from the shapes of the sides. Along each side they are turned alternately
 * forwards (the flange hole ahead of the nipple: trailing) and backwards (leading), beginning forwards.
 * The first spoke stands at angle 0.
 */
export function layOut(shapes: BySide<SideShape>): Spoke[] {
  const order = sideOrder(shapes.left.count, shapes.right.count);
  const seen = { left: 0, right: 0 };
  return order.map((side, i) => {
    const shape = shapes[side];
    const forwards = seen[side]++ % 2 === 0 ? 1 : -1;
    const inPlane = Math.cos(shape.bracingAngleRad);
    const turn = forwards * shape.inPlaneAngleRad;
    return {
      angleRad: (2 * Math.PI * i) / order.length,
      side,
      role: shape.inPlaneAngleRad === 0 ? 'radial' : forwards > 0 ? 'trailing' : 'leading',
      direction: [
        -inPlane * Math.cos(turn),
        inPlane * Math.sin(turn),
        (side === 'left' ? 1 : -1) * Math.sin(shape.bracingAngleRad),
      ],
      lengthM: shape.lengthM,
      axialStiffnessN: shape.axialStiffnessN,
      tensionN: shape.tensionN,
    };
  });
}
