import * as Plot from '@observablehq/plot';
import { frame, type Figure, type FigureStyle } from './figure.ts';
import { fixed, thin } from './numbers.ts';
import { loadArrows, loadWords, type LoadOnRim } from './wheel-load.ts';

/** A spoke's two ends: metres to the left of the wheel's plane, and in the plane from the axle. */
export interface DrawnSpoke {
  spoke: number;
  side: 'left' | 'right';
  rim: { leftM: number; radiusM: number; angleDeg: number };
  hub: { leftM: number; radiusM: number; angleDeg: number };
  /** Tension without the load, N. */
  tensionN: number;
  /** Change of tension under the load shown, N. */
  changeN: number;
}

/** Whether the load has used up all tension of a spoke. */
export const isSlack = ({ tensionN, changeN }: { tensionN: number; changeN: number }): boolean =>
  tensionN + changeN <= 0;

export interface WheelDrawing {
  rimRadiusM: number;
  spokes: readonly DrawnSpoke[];
  /** The rim's movement under the load at these angles, metres. */
  anglesDeg: readonly number[];
  leftM: readonly number[];
  outwardM: readonly number[];
  forwardM: readonly number[];
  load: LoadOnRim;
  /** How many times the movement is enlarged. */
  exaggeration: number;
  /** Largest change of tension that line widths must tell apart, N. */
  reachN: number;
}

const rad = Math.PI / 180;
const margin = 2;

/** Room left of, right of and about the wheel, in rim radii. */
const room = { around: 1.15, gap: 0.04, edgeHalf: 0.37 };
const wideRadii = 2 * room.around + room.gap + 2 * room.edgeHalf;

/** Where the wheel stands in the picture, in pixels: for turning a pointer's place into an angle. */
export function wheelPlace(width: number): { centreX: number; centreY: number; radius: number } {
  const radius = (width - 2 * margin) / wideRadii;
  return {
    centreX: margin + room.around * radius,
    centreY: margin + room.around * radius,
    radius,
  };
}

/** Angle of a place in the picture, degrees from spoke 1 in the direction of rotation (clockwise, from the right). */
export function angleAt(x: number, y: number, width: number): number {
  const { centreX, centreY } = wheelPlace(width);
  return (Math.atan2(x - centreX, centreY - y) / rad + 360) % 360;
}

/** Where the load is drawn, in pixels: on the rim as it has moved. */
export function loadPlace(data: WheelDrawing, width: number): { x: number; y: number } {
  const { centreX, centreY, radius } = wheelPlace(width);
  const { positionDeg } = data.load;
  const scale = (data.exaggeration * radius) / data.rimRadiusM;
  const outward = radius + onRing(data.anglesDeg, data.outwardM, positionDeg) * scale;
  const forward = onRing(data.anglesDeg, data.forwardM, positionDeg) * scale;
  const [sin, cos] = [Math.sin(positionDeg * rad), Math.cos(positionDeg * rad)];
  return {
    x: centreX + outward * sin + forward * cos,
    y: centreY - outward * cos + forward * sin,
  };
}

/** How far the rim goes at the load, in the direction of the load, m. */
export function movementAtLoad({ load, anglesDeg, ...data }: WheelDrawing): number {
  const [values, sign] = {
    sideways: [data.leftM, 1] as const,
    inwards: [data.outwardM, -1] as const,
    forwards: [data.forwardM, 1] as const,
  }[load.kind];
  return sign * onRing(anglesDeg, values, load.positionDeg);
}

/** A round factor (1, 2 or 5 times a power of ten) that draws the largest movement at most 0.28 radii long. */
export function exaggerationFor(largestM: number, rimRadiusM: number): number {
  if (!(largestM > 0)) return 1;
  const most = (0.28 * rimRadiusM) / largestM;
  const unit = 10 ** Math.floor(Math.log10(most));
  return Math.max(1, [5, 2, 1].map((k) => k * unit).find((factor) => factor <= most) ?? unit);
}

/** Value at an angle between the given ones, on a closed ring of ascending angles. */
function onRing(anglesDeg: readonly number[], values: readonly number[], angleDeg: number): number {
  const angle = ((angleDeg % 360) + 360) % 360;
  let k = anglesDeg.length - 1;
  while (k > 0 && anglesDeg[k] > angle) k--;
  const next = (k + 1) % anglesDeg.length;
  const span = next === 0 ? anglesDeg[0] + 360 - anglesDeg[k] : anglesDeg[next] - anglesDeg[k];
  const share = span > 0 ? (angle - anglesDeg[k]) / span : 0;
  return values[k] + (values[next] - values[k]) * share;
}

interface Ends {
  from: { x: number; y: number };
  to: { x: number; y: number };
}

/** Beside a spoke near its nipple, on the side to which the wheel turns. */
function besideSpoke({ from, to }: Ends, radiusM: number): { x: number; y: number } {
  const [dx, dy] = [to.x - from.x, to.y - from.y];
  const away = (0.05 * radiusM) / Math.hypot(dx, dy);
  return { x: from.x + 0.86 * dx + away * dy, y: from.y + 0.86 * dy - away * dx };
}

/**
 * The wheel to scale: seen from the right with spoke 1 on top, turning clockwise, and beside it edge-on from
 * behind with the loaded place on top. The shape under load is drawn over it, enlarged by the stated factor.
 */
export function wheelFigure(data: WheelDrawing, style: FigureStyle): Figure | null {
  const { rimRadiusM: radiusM, spokes, anglesDeg, load, exaggeration: times, reachN } = data;
  if (spokes.length === 0 || anglesDeg.length === 0) return null;
  const { palette, fontSize, width } = style;
  const size = fontSize * 0.86;
  const small = { fill: palette.soft, fontSize: size };
  const { radius } = wheelPlace(width);
  const wheelHeight = 2 * room.around * radius + margin;
  const height = Math.round(wheelHeight + fontSize * 3.4);
  const edgeX = (room.around + room.gap + room.edgeHalf) * radiusM;
  const moved = (angleDeg: number) => ({
    left: onRing(anglesDeg, data.leftM, angleDeg) * times,
    outward: onRing(anglesDeg, data.outwardM, angleDeg) * times,
    forward: onRing(anglesDeg, data.forwardM, angleDeg) * times,
  });
  const front = (r: number, angleDeg: number, outward = 0, forward = 0) => {
    const [sin, cos] = [Math.sin(angleDeg * rad), Math.cos(angleDeg * rad)];
    return { x: (r + outward) * sin + forward * cos, y: (r + outward) * cos - forward * sin };
  };
  const edge = (r: number, angleDeg: number, left: number, outward = 0) => ({
    x: edgeX - left,
    y: (r + outward) * Math.cos((angleDeg - load.positionDeg) * rad),
  });
  const ring = Array.from({ length: 121 }, (_, k) => k * 3);
  const still = ring.map((a) => front(radiusM, a));
  const shape = ring.map((a) => {
    const { outward, forward } = moved(a);
    return front(radiusM, a, outward, forward);
  });
  const edgeStill = ring.map((a) => edge(radiusM, a, 0));
  const edgeShape = ring.map((a) => {
    const { left, outward } = moved(a + load.positionDeg);
    return edge(radiusM, a + load.positionDeg, left, outward);
  });
  const drawn = spokes.map((one) => {
    const { left, outward, forward } = moved(one.rim.angleDeg);
    return {
      ...one,
      from: front(one.hub.radiusM, one.hub.angleDeg),
      to: front(one.rim.radiusM, one.rim.angleDeg, outward, forward),
      edgeFrom: edge(one.hub.radiusM, one.hub.angleDeg, one.hub.leftM),
      edgeTo: edge(one.rim.radiusM, one.rim.angleDeg, one.rim.leftM + left, outward),
      width: 1.2 + 3.2 * Math.min(1, Math.abs(one.changeN) / Math.max(reachN, 1e-9)),
    };
  });
  type Drawn = (typeof drawn)[number];
  const gains = drawn.filter((one) => one.changeN >= 0);
  const loses = drawn.filter((one) => one.changeN < 0);
  const spokeLine = (which: typeof drawn, color: string, dash?: string) => [
    Plot.link(which, {
      x1: (one: Drawn) => one.from.x,
      y1: (one: Drawn) => one.from.y,
      x2: (one: Drawn) => one.to.x,
      y2: (one: Drawn) => one.to.y,
      stroke: color,
      strokeWidth: (one: Drawn) => one.width,
      strokeDasharray: dash,
    }),
    Plot.link(which, {
      x1: (one: Drawn) => one.edgeFrom.x,
      y1: (one: Drawn) => one.edgeFrom.y,
      x2: (one: Drawn) => one.edgeTo.x,
      y2: (one: Drawn) => one.edgeTo.y,
      stroke: color,
      strokeWidth: 1.2,
      strokeDasharray: dash,
    }),
  ];
  const at = moved(load.positionDeg);
  const loaded = front(radiusM, load.positionDeg, at.outward, at.forward);
  const edgeLoaded = edge(radiusM, load.positionDeg, at.left, at.outward);
  const flanges = (['left', 'right'] as const).flatMap((side) => {
    const one = spokes.find((spoke) => spoke.side === side);
    return one ? [{ side, radiusM: one.hub.radiusM, leftM: one.hub.leftM }] : [];
  });
  const ringPx = fontSize * 0.8;
  const ringM = ((ringPx + 2) / radius) * radiusM;
  const slack = drawn.filter(isSlack);
  // The first spoke, for counting, and those that feel the load most.
  const numbered = [...drawn]
    .sort((a, b) => Math.abs(b.changeN) - Math.abs(a.changeN))
    .filter(({ spoke }, i) => i < 3 || spoke === 1);
  const newtons = `${fixed(load.newtons, 0)}${thin}N`;
  return {
    title: `Wheel under ${fixed(load.newtons, 0)} N ${loadWords[load.kind]} at ${fixed(load.positionDeg, 0)}°`,
    description: [
      `Drawn to scale, seen from the right and edge-on from behind; the rim's movement is enlarged ${fixed(times, 0)} times.`,
      ` At the load the rim moves ${fixed(movementAtLoad(data) * 1000, 2)} mm with it.`,
      ` ${gains.length} spokes gain tension, ${loses.length} lose`,
      slack.length > 0 ? `; slack: ${slack.map(({ spoke }) => spoke).join(', ')}.` : '.',
    ].join(''),
    width,
    height,
    options: {
      ...frame(fontSize, {
        top: margin,
        // To the pixel's part, so that both directions have one scale.
        bottom: height - wheelHeight,
        left: margin,
        right: margin,
      }),
      x: {
        domain: [-room.around * radiusM, (wideRadii - room.around) * radiusM],
        axis: null,
      },
      y: { domain: [-room.around * radiusM, room.around * radiusM], axis: null },
      marks: [
        Plot.line(still, { x: 'x', y: 'y', stroke: palette.line, strokeWidth: 3 }),
        Plot.line(edgeStill, { x: 'x', y: 'y', stroke: palette.line, strokeWidth: 3 }),
        ...flanges.map((flange) =>
          Plot.line(
            ring.map((a) => front(flange.radiusM, a)),
            { x: 'x', y: 'y', stroke: palette.soft, strokeWidth: 1.5 },
          ),
        ),
        Plot.link(flanges, {
          x: (flange) => edgeX - flange.leftM,
          y1: (flange) => -flange.radiusM,
          y2: (flange) => flange.radiusM,
          stroke: palette.soft,
          strokeWidth: 4,
        }),
        ...spokeLine(gains, palette.accent),
        ...spokeLine(loses, palette.warm, '6 3'),
        Plot.line(shape, { x: 'x', y: 'y', stroke: palette.ink, strokeWidth: 4.5 }),
        Plot.line(edgeShape, { x: 'x', y: 'y', stroke: palette.ink, strokeWidth: 4 }),
        ...loadArrows({ load, radiusM, loaded, edgeLoaded, front, ringM, palette }),
        Plot.text(slack, {
          x: (one: Drawn) => (one.from.x + one.to.x) / 2,
          y: (one: Drawn) => (one.from.y + one.to.y) / 2,
          text: () => 'slack',
          fill: palette.warm,
          fontWeight: 700,
          fontSize: size,
          stroke: palette.paper,
          strokeWidth: 4,
        }),
        Plot.dot([loaded], {
          x: 'x',
          y: 'y',
          r: ringPx,
          fill: palette.paper,
          stroke: palette.ink,
          strokeWidth: 3,
        }),
        Plot.dot(load.kind === 'sideways' ? [loaded] : [], {
          x: 'x',
          y: 'y',
          symbol: 'times',
          r: 5,
          stroke: palette.ink,
          strokeWidth: 2.5,
        }),
        Plot.text(numbered, {
          x: (one: Drawn) => besideSpoke(one, radiusM).x,
          y: (one: Drawn) => besideSpoke(one, radiusM).y,
          text: (one: Drawn) => String(one.spoke),
          fill: palette.ink,
          fontWeight: 600,
          fontSize: size,
          stroke: palette.paper,
          strokeWidth: 4,
        }),
        Plot.text(['from the right'], {
          x: 0,
          y: -room.around * radiusM,
          dy: fontSize * 0.8,
          text: (label: string) => label,
          ...small,
        }),
        Plot.text(['edge-on'], {
          x: edgeX,
          y: -room.around * radiusM,
          dy: fontSize * 0.8,
          text: (label: string) => label,
          ...small,
        }),
        Plot.text([`${newtons}; movement drawn ${fixed(times, 0)} times`], {
          frameAnchor: 'bottom-left',
          dy: fontSize * 2.4,
          textAnchor: 'start',
          fill: palette.ink,
          fontWeight: 600,
          fontSize: size,
        }),
      ],
    },
  };
}
