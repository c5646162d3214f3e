import type { PlannedSpoke } from './pluck-plan.ts';
import { spokeWords } from './pluck-words.ts';

const rad = Math.PI / 180;
const radius = 100;

/** The wheel seen from the right, valve on top, with the spoke to pluck and where to pluck it. */
export function PluckWheel({
  spokes,
  now,
  done,
}: {
  spokes: readonly PlannedSpoke[];
  now: number | null;
  done: ReadonlySet<number>;
}) {
  const at = (deg: number, share: number) => ({
    x: radius * share * Math.sin(deg * rad),
    y: -radius * share * Math.cos(deg * rad),
  });
  const turn = 180 / Math.max(1, spokes.length);
  // The valve stands before the first spoke: the wheel is turned so that it is on top.
  const lines = spokes.map((one) => ({
    ...one,
    from: at(one.hubDeg + turn, one.hubShare),
    to: at(one.rimDeg + turn, 1),
  }));
  const marked = lines.find(({ spoke }) => spoke === now);
  const hub = Math.max(...spokes.map(({ hubShare }) => hubShare), 0.08) * radius;
  const between = (share: number) =>
    marked && {
      x: marked.from.x + share * (marked.to.x - marked.from.x),
      y: marked.from.y + share * (marked.to.y - marked.from.y),
    };
  const place = between(0.72);
  const number = marked && at(marked.rimDeg + turn, 1.2);
  return (
    <svg
      class="pluck-wheel"
      viewBox="-132 -132 264 264"
      role="img"
      aria-label={
        marked
          ? `The wheel from the right, valve on top: ${spokeWords(marked)}, ${clockPlace(marked.rimDeg + turn)}.`
          : 'The wheel from the right, valve on top: no spoke is next.'
      }
    >
      <circle class="pluck-rim" r={radius} />
      <circle class="pluck-hub" r={hub} />
      {lines.map(({ spoke, from, to }) => (
        <line
          key={spoke}
          class={done.has(spoke) ? 'pluck-line pluck-line-done' : 'pluck-line'}
          {...{ x1: from.x, y1: from.y, x2: to.x, y2: to.y }}
        />
      ))}
      <line class="pluck-valve" x1="0" x2="0" y1={-radius + 16} y2={-radius - 3} />
      {marked && (
        <line
          class="pluck-line-now"
          {...{ x1: marked.from.x, y1: marked.from.y, x2: marked.to.x, y2: marked.to.y }}
        />
      )}
      {place && <circle class="pluck-place" cx={place.x} cy={place.y} r="9" />}
      {number && (
        <text class="pluck-number-at" x={number.x} y={number.y}>
          {now}
        </text>
      )}
    </svg>
  );
}

/** As on a clock: `at 2 o'clock`. */
const clockPlace = (deg: number): string =>
  `at ${Math.round(((deg + 360) % 360) / 30) % 12 || 12} o’clock`;
