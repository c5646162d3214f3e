import { useEffect, useState } from 'preact/hooks';
import {
  changeWords,
  exaggerationFor,
  fixed,
  isSlack,
  loadWords,
  movementAtLoad,
  spokeChangesFigure,
  thin,
} from '../../figures/index.ts';
import type { LoadKind, SpokeChange, WheelDrawing } from '../../figures/index.ts';
import type { WheelShapes } from '../../application/contract.ts';
import { readShapes } from '../api.ts';
import { Drawing } from '../parts/drawing.tsx';
import { keepText, keptText } from '../parts/kept-text.ts';
import { LoadedWheel } from './loaded-wheel.tsx';
import { Segments } from './segments.tsx';

/** Largest load of the slider and the one it begins with, N: 20 kg sideways, a rider's part, a hard braking. */
const ranges: Record<LoadKind, { most: number; first: number; step: number; name: string }> = {
  sideways: { most: 400, first: 196, step: 4, name: 'Sideways' },
  inwards: { most: 2000, first: 800, step: 20, name: 'Inwards' },
  forwards: { most: 800, first: 400, step: 10, name: 'Braking' },
};
const kinds = Object.keys(ranges) as LoadKind[];

const meanings: Record<LoadKind, string> = {
  sideways: 'A push at the rim to the left, as a weight on a fixture or a rider out of the saddle.',
  inwards: 'The road’s push towards the axle, as the wheel carries.',
  forwards:
    'The road’s push along the rim while a disc holds the hub: at the place that touches the road.',
};

interface Shapes {
  shapes: WheelShapes | null;
  /** Solved for the sheet as it stands. */
  fresh: boolean;
  refused: boolean;
}

/** A wheel's answers; those of the sheet before stay until there are newer ones. */
function useShapes(id: string, input: string): Shapes {
  const [state, setState] = useState<{ shapes: WheelShapes | null; of: string; refused: boolean }>({
    shapes: null,
    of: '',
    refused: false,
  });
  useEffect(() => {
    let current = true;
    void readShapes(id).then(
      (shapes) => current && setState({ shapes, of: input, refused: false }),
      () => current && setState((now) => ({ ...now, of: input, refused: true })),
    );
    return () => {
      current = false;
    };
  }, [id, input]);
  const { shapes, of, refused } = state;
  return { shapes, fresh: of === input && !refused, refused: of === input && refused };
}

/**
 * The wheel under a load that is dragged round the rim. The server has solved one newton at every place
 * once; here it is only multiplied by the load.
 */
export function WheelUnderLoad({ id, input }: { id: string; input: string }) {
  const { shapes, fresh, refused } = useShapes(id, input);
  if (!shapes) {
    return refused ? (
      <p>The wheel is drawn once its sheet is sound.</p>
    ) : (
      <div role="status">
        <p>Solving the wheel under loads all round the rim …</p>
        <progress aria-label="Solving the wheel" />
      </div>
    );
  }
  return (
    <section
      class={`block ${fresh || refused ? '' : 'stale'}`}
      aria-label="Wheel under load"
      aria-busy={!fresh && !refused}
    >
      <Loaded id={id} shapes={shapes} />
    </section>
  );
}

function Loaded({ id, shapes }: { id: string; shapes: WheelShapes }) {
  const [kind, setKind] = useState<LoadKind>(() => readKind(id));
  const [newtons, setNewtons] = useState<Record<LoadKind, number>>(
    () =>
      Object.fromEntries(kinds.map((one) => [one, ranges[one].first])) as Record<LoadKind, number>,
  );
  const [place, setPlace] = useState(() => Number(keptText(`${id}:load-place`) ?? 0));
  const shown = shapes[kind].length > 0 ? kind : 'sideways';
  const units = shapes[shown];
  const at = Math.min(place, units.length - 1);
  const unit = units[at];
  const load = newtons[shown];
  const { most, step } = ranges[shown];
  const scaled = (values: readonly number[]) => values.map((value) => value * load);
  const reachN = most * largest(units.flatMap(({ tensionN }) => tensionN));
  const drawing: WheelDrawing = {
    rimRadiusM: shapes.rimRadiusM,
    spokes: shapes.spokes.map((one, i) => ({ ...one, changeN: unit.tensionN[i] * load })),
    anglesDeg: shapes.anglesDeg,
    leftM: scaled(unit.leftM),
    outwardM: scaled(unit.outwardM),
    forwardM: scaled(unit.forwardM),
    load: { kind: shown, positionDeg: unit.positionDeg, newtons: load },
    exaggeration: enlargement(shapes, shown, most),
    reachN,
  };
  const moved = `${fixed(movementAtLoad(drawing) * 1000, shown === 'sideways' ? 2 : 3)}${thin}mm`;
  const where = placeWords(shapes, unit.positionDeg);
  const first = unit.firstSlackN !== null && load > unit.firstSlackN ? unit.firstSlackN : null;
  return (
    <>
      <div class="load-controls">
        <Segments
          name="load-kind"
          label="Direction of the load"
          value={shown}
          options={kinds.map((one) => ({
            value: one,
            text: ranges[one].name,
            disabled: shapes[one].length === 0,
          }))}
          choose={(one) => {
            keepText(`${id}:load-kind`, one);
            setKind(one);
          }}
        />
        <p class="legend">
          {meanings[shown]}
          {shapes.forwards.length === 0 &&
            ' All spokes are radial: this wheel carries no braking at the hub.'}
        </p>
        <div class="load-size">
          <label for="load-size">Size of the load</label>
          <input
            id="load-size"
            type="range"
            min={0}
            max={most}
            step={step}
            value={load}
            aria-valuetext={`${load} newtons`}
            onInput={(event) =>
              setNewtons({ ...newtons, [shown]: Number(event.currentTarget.value) })
            }
          />
          <output for="load-size">
            {fixed(load, 0)}
            {thin}N
          </output>
        </div>
      </div>
      <LoadedWheel
        drawing={drawing}
        words={`${where}; the rim moves ${moved} there; ${mostWords(drawing.spokes, 1)}`}
        positionsDeg={units.map((one) => one.positionDeg)}
        at={at}
        move={(next) => {
          keepText(`${id}:load-place`, String(next));
          setPlace(next);
        }}
      />
      <p class="legend">
        Drag the ring round the rim, or use the arrow keys on it. Full and thick: the spoke gains
        tension. Dashed: it loses.
      </p>
      <p class="load-answer">
        <b>
          {fixed(load, 0)}
          {thin}N {loadWords[shown]}
        </b>{' '}
        at {where}: the rim moves {moved} there. Most change: {mostWords(drawing.spokes, 3)}.
      </p>
      {first !== null && (
        <p class="field-wrong" role="status">
          From {fixed(first, 0)}
          {thin}N here {slackWords(drawing.spokes)}: the wheel then gives more than is drawn, and
          the picture no longer holds.
        </p>
      )}
      <Drawing
        describe={(style) =>
          spokeChangesFigure(
            {
              changes: drawing.spokes,
              load: `${fixed(load, 0)} N ${loadWords[shown]} at ${fixed(unit.positionDeg, 0)}°`,
              reachN,
            },
            style,
          )
        }
        inputs={[shapes, shown, load, at]}
      />
    </>
  );
}

function readKind(id: string): LoadKind {
  const kept = keptText(`${id}:load-kind`);
  return kinds.find((one) => one === kept) ?? 'sideways';
}

const largest = (values: readonly number[]): number =>
  values.reduce((most, value) => Math.max(most, Math.abs(value)), 0);

/** One factor for all places and sizes of a load, so that the picture can be compared as it moves. */
function enlargement(shapes: WheelShapes, kind: LoadKind, most: number): number {
  const moved = shapes[kind].flatMap(({ leftM, outwardM, forwardM }) =>
    [leftM, outwardM, forwardM].map(largest),
  );
  return exaggerationFor(most * largest(moved), shapes.rimRadiusM);
}

function placeWords({ spokes }: WheelShapes, positionDeg: number): string {
  const away = (angleDeg: number) => Math.abs(((angleDeg - positionDeg + 540) % 360) - 180);
  const near = [...spokes].sort((a, b) => away(a.rim.angleDeg) - away(b.rim.angleDeg));
  const [first, second] = near;
  const where =
    away(first.rim.angleDeg) < 0.5
      ? `spoke ${first.spoke}`
      : `between spokes ${Math.min(first.spoke, second.spoke)} and ${Math.max(first.spoke, second.spoke)}`;
  return `${fixed(positionDeg, 0)}°, ${where}`;
}

function mostWords(changes: readonly SpokeChange[], count: number): string {
  return [...changes]
    .sort((a, b) => Math.abs(b.changeN) - Math.abs(a.changeN))
    .slice(0, count)
    .map((one) => `spoke ${one.spoke} (${one.side}) ${changeWords(one)}`)
    .join(', ');
}

function slackWords(changes: readonly SpokeChange[]): string {
  const slack = changes.filter(isSlack).map(({ spoke }) => spoke);
  return slack.length > 1 ? `spokes ${slack.join(', ')} go slack` : `spoke ${slack[0]} goes slack`;
}
