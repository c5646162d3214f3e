import * as Plot from '@observablehq/plot';
import type { Palette } from './palette.ts';

/** What pushes on the rim: to the left, towards the axle, or along it with the rotation. */
export type LoadKind = 'sideways' | 'inwards' | 'forwards';

/** The direction of a load as a sentence needs it. */
export const loadWords: Record<LoadKind, string> = {
  sideways: 'to the left',
  inwards: 'towards the axle',
  forwards: 'along the rim, as in braking',
};

export interface LoadOnRim {
  kind: LoadKind;
  /** Degrees from spoke 1 in the direction of rotation. */
  positionDeg: number;
  newtons: number;
}

interface Point {
  x: number;
  y: number;
}

/** The load as arrows that end where it acts: on the wheel seen from the side, and on it seen edge-on. */
export function loadArrows({
  load,
  radiusM,
  loaded,
  edgeLoaded,
  front,
  ringM,
  palette,
}: {
  load: LoadOnRim;
  radiusM: number;
  loaded: Point;
  edgeLoaded: Point;
  /** A place on the wheel seen from the side: radius, angle, and movement outwards and forwards. */
  front: (r: number, angleDeg: number, outward?: number, forward?: number) => Point;
  /** Radius of the ring drawn at the load, in the measure of the wheel. */
  ringM: number;
  palette: Palette;
}): Plot.Markish[] {
  const arrow = (from: Point, to: Point): Plot.Markish =>
    Plot.arrow([0], {
      x1: from.x,
      y1: from.y,
      x2: to.x,
      y2: to.y,
      stroke: palette.ink,
      strokeWidth: 3,
      headLength: 10,
    });
  if (load.kind === 'sideways') {
    const { x, y } = edgeLoaded;
    return [arrow({ x: x + 0.28 * radiusM, y }, { x: x + 0.02 * radiusM, y })];
  }
  if (load.kind === 'inwards') {
    const out = front(ringM, load.positionDeg);
    const besideRing = { x: loaded.x + out.x, y: loaded.y + out.y };
    return [
      arrow(front(radiusM * 1.14, load.positionDeg), besideRing),
      arrow({ x: edgeLoaded.x, y: radiusM * 1.14 }, edgeLoaded),
    ];
  }
  // Beside the rim, so that the arrow is not lost in it.
  const beside = (forward: number): Point => front(radiusM * 1.09, load.positionDeg, 0, forward);
  return [arrow(beside(-0.05 * radiusM), beside(0.3 * radiusM))];
}
