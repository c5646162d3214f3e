import { figureSvg, fixed, loadDeflectionFigure, printPalette, thin } from '../../figures/index.ts';
import type { FigureStyle } from '../../figures/index.ts';
import type { Problem, StiffnessFinding } from '../../application/contract.ts';
import { Drawing } from '../parts/drawing.tsx';
import { saveFile } from '../parts/save-file.ts';
import { withInterval } from './words.ts';

const direct = (value: number | null, decimals: number, unit: string): string =>
  value === null ? 'not seen' : `${fixed(value, decimals)}${thin}${unit}`;

type Series = StiffnessFinding['series'][number];

/** Stiffness first, then the curve it comes from, then all else that the readings tell. */
export function StiffnessResult({ finding, title }: { finding: StiffnessFinding; title: string }) {
  const { preloadN, loadN, slopMm, slopCi95, series } = finding;
  const rests =
    finding.intervalFrom === 'remounts'
      ? `the scatter over ${finding.remounts} remounts`
      : 'the readings of one remount only';
  const curve = (style: FigureStyle) =>
    loadDeflectionFigure({ series, preloadN, loadN, slopMm }, style);
  const facts: [string, string][] = [
    ['Slop', slopMm === null ? 'not seen' : withInterval(slopMm, slopCi95, 'mm')],
    ['Hysteresis', direct(finding.hysteresisPercent, 1, '%')],
    [
      'Zero shift',
      finding.zeroShiftMm === null
        ? 'not seen'
        : withInterval(finding.zeroShiftMm, finding.zeroShiftCi95, 'mm'),
    ],
    ['Deflection over the load', direct(finding.deflectionMm, 2, 'mm')],
    ['Scatter over remounts', direct(finding.remountScatterNPerMm, 1, 'N/mm')],
    ['Readings used', `${finding.readings} in ${series.filter((one) => one.used).length} series`],
  ];
  const save = () => {
    const figure = curve({ width: 1000, fontSize: 20, palette: printPalette });
    if (figure) saveFile(`${title}.svg`, figureSvg(figure, document), 'image/svg+xml');
  };
  return (
    <>
      <div class="sentence">
        <p>Lateral stiffness {withInterval(finding.lateralNPerMm, finding.ci95, 'N/mm')}</p>
        <p>
          From {fixed(preloadN, 0)} to {fixed(preloadN + loadN, 0)}
          {thin}N. The 95 % interval rests on {rests}.
        </p>
      </div>
      <Drawing describe={curve} inputs={[finding]} />
      <p class="legend">
        Filled: loading. Open: unloading. Crossed: left out. The band is the slop, what gives before
        the wheel carries; the stiffness is that of the solid line alone.
      </p>
      <dl class="learnt">
        {facts.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
      {finding.positions.length > 1 && <Positions finding={finding} />}
      <div class="actions">
        <button type="button" class="button" onClick={save}>
          Save the curve as SVG
        </button>
      </div>
    </>
  );
}

function Positions({ finding }: { finding: StiffnessFinding }) {
  return (
    <table class="finding-table">
      <caption>Round the rim</caption>
      <thead>
        <tr>
          <th scope="col">Position</th>
          <th scope="col">N/mm</th>
          <th scope="col">Remounts</th>
        </tr>
      </thead>
      <tbody>
        {finding.positions.map(({ positionDeg, lateralNPerMm, remounts }) => (
          <tr key={positionDeg}>
            <th scope="row">{positionDeg === null ? 'not said' : `${positionDeg}°`}</th>
            <td>{fixed(lateralNPerMm, 1)}</td>
            <td>{remounts}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** The last series while it has too few loads to tell: it is being read. */
function unfinished(series: readonly Series[]): Series | null {
  const last = series.at(-1);
  const turned = last?.readings.some(({ direction }) => direction === 'unload') ?? true;
  return last && !last.used && !turned ? last : null;
}

/** Warnings in two kinds: a series left out, with the place that is wrong in it, and all others. */
export function splitWarnings({ series, warnings }: StiffnessFinding): {
  leftOut: Problem[];
  others: Problem[];
  /** A series that is still being read is not in the result and no fault either. */
  beingRead: string | null;
} {
  const read = unfinished(series);
  const tells = (one: Series, { message }: Problem) =>
    one.reason !== null && message.startsWith(one.reason);
  const out = series.filter((one) => one !== read);
  return {
    leftOut: warnings.filter((warning) => out.some((one) => tells(one, warning))),
    others: warnings.filter((warning) => !series.some((one) => tells(one, warning))),
    beingRead: read?.remount ?? null,
  };
}
