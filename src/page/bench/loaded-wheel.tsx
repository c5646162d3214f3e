import { useRef } from 'preact/hooks';
import { angleAt, loadPlace, wheelFigure, wheelPlace } from '../../figures/index.ts';
import type { FigureStyle, WheelDrawing } from '../../figures/index.ts';
import { Drawing, useWidth } from '../parts/drawing.tsx';

const apart = (a: number, b: number): number => Math.abs(((a - b + 540) % 360) - 180);

/** The place nearest to an angle. */
function nearestTo(angleDeg: number, positionsDeg: readonly number[]): number {
  return positionsDeg.reduce(
    (best, deg, i) => (apart(deg, angleDeg) < apart(positionsDeg[best], angleDeg) ? i : best),
    0,
  );
}

/** The place after a key of a slider; null for other keys. */
function afterKey(key: string, at: number, count: number): number | null {
  const quarter = Math.round(count / 4);
  const steps: Record<string, number> = {
    ArrowRight: at + 1,
    ArrowUp: at + 1,
    ArrowLeft: at - 1,
    ArrowDown: at - 1,
    PageUp: at + quarter,
    PageDown: at - quarter,
    Home: 0,
    End: count - 1,
  };
  return key in steps ? (steps[key] + count) % count : null;
}

/**
 * The wheel with a load that is moved round the rim: dragged with a finger or a mouse, put somewhere by a
 * click on the wheel, or stepped with the arrow keys.
 */
export function LoadedWheel({
  drawing,
  words,
  positionsDeg,
  at,
  move,
}: {
  drawing: WheelDrawing;
  /** Where the load is and what it does, for those who cannot see the wheel. */
  words: string;
  positionsDeg: readonly number[];
  at: number;
  move: (place: number) => void;
}) {
  const { ref, width } = useWidth<HTMLDivElement>();
  const handle = useRef<HTMLDivElement>(null);
  const dragging = useRef(false);
  const describe = (style: FigureStyle) => wheelFigure(drawing, style);
  const inPicture = (event: PointerEvent) => {
    const box = ref.current?.getBoundingClientRect();
    return box ? { x: event.clientX - box.left, y: event.clientY - box.top } : null;
  };
  const towards = (event: PointerEvent) => {
    const point = inPicture(event);
    if (!point) return;
    const nearest = nearestTo(angleAt(point.x, point.y, width), positionsDeg);
    if (nearest !== at) move(nearest);
  };
  const place = width > 0 ? loadPlace(drawing, width) : { x: 0, y: 0 };
  return (
    <div
      class="wheel-drawing"
      ref={ref}
      onPointerDown={(event) => {
        // With a finger the wheel itself is scrolled past; only the ring is dragged.
        if (event.pointerType !== 'mouse' || event.target === handle.current) return;
        const point = inPicture(event);
        const { centreX, centreY, radius } = wheelPlace(width);
        if (!point || Math.hypot(point.x - centreX, point.y - centreY) > radius * 1.15) return;
        towards(event);
        event.preventDefault();
        handle.current?.focus();
      }}
    >
      <Drawing describe={describe} inputs={[drawing]} />
      <div
        class="load-handle"
        ref={handle}
        role="slider"
        tabIndex={0}
        aria-label="Place of the load on the rim"
        aria-valuemin={0}
        aria-valuemax={360}
        aria-valuenow={Math.round(drawing.load.positionDeg)}
        aria-valuetext={words}
        style={{ left: `${place.x}px`, top: `${place.y}px` }}
        onKeyDown={(event) => {
          const next = afterKey(event.key, at, positionsDeg.length);
          if (next === null) return;
          event.preventDefault();
          move(next);
        }}
        onPointerDown={(event) => {
          dragging.current = true;
          event.currentTarget.setPointerCapture(event.pointerId);
        }}
        onPointerMove={(event) => dragging.current && towards(event)}
        onPointerUp={() => (dragging.current = false)}
        onPointerCancel={() => (dragging.current = false)}
      />
    </div>
  );
}
