import {
  budgetFigure,
  decimalsFor,
  fixed,
  residualFigure,
  signed,
  thin,
} from '../../figures/index.ts';
import type { FieldDragFinding, ResidualCheck, ResidualRow } from '../../application/contract.ts';
import { Drawing } from '../parts/drawing.tsx';

const against: { label: string; title: string; of: (row: ResidualRow) => number | null }[] = [
  { title: 'Against speed', label: 'ground speed, km/h', of: (row) => row.speedMps * 3.6 },
  { title: 'Against airspeed', label: 'airspeed, km/h', of: (row) => row.airspeedMps * 3.6 },
  { title: 'Against yaw', label: 'yaw, degrees', of: (row) => row.yawDeg },
  { title: 'Over the day', label: 'since the first run, minutes', of: (row) => row.dayTimeS / 60 },
  { title: 'Along the lap', label: 'position along the lap, m', of: (row) => row.positionM },
];

export function ChecksPart({
  finding,
  stale,
}: {
  finding: FieldDragFinding | null;
  stale: boolean;
}) {
  if (!finding) {
    return (
      <section class="block">
        <h2>Residual checks</h2>
        <p>There is no finding to check yet.</p>
      </section>
    );
  }
  const { checks, rows } = finding.residuals;
  const failed = checks.filter((check) => !check.passed).length;
  return (
    <div class={`pane ${stale ? 'stale' : ''}`}>
      <section class="block">
        <h2>Does the model fit this day?</h2>
        <p class="check-sum">
          {failed === 0
            ? `All ${checks.length} checks passed.`
            : `${failed} of ${checks.length} checks did not pass.`}
        </p>
        <ul class="checks">
          {checks.map((check) => (
            <CheckLine key={check.name} check={check} />
          ))}
        </ul>
      </section>
      <section class="block">
        <h2>Residuals</h2>
        <p class="legend">
          What the model leaves over, in standard deviations. The cloud should lie evenly about
          zero; the marks are running means with two standard errors.
        </p>
        {against.map(({ title, label, of }) => {
          const points = rows.flatMap((row) => {
            const x = of(row);
            return x === null ? [] : [{ x, z: row.z }];
          });
          return (
            <figure key={title}>
              <figcaption>
                <h3>{title}</h3>
              </figcaption>
              {points.length === 0 ? (
                <p class="legend">Not known on this day.</p>
              ) : (
                <Drawing
                  describe={(style) => residualFigure({ against: label, points }, style)}
                  inputs={[finding]}
                />
              )}
            </figure>
          );
        })}
        <ByLap finding={finding} />
      </section>
      <section class="block">
        <h2>Where the interval comes from</h2>
        <Budget
          finding={finding}
          of="ofDifferenceM2"
          title="Of a difference to control"
          what="a difference"
        />
        <Budget
          finding={finding}
          of="ofAbsoluteM2"
          title="Of an absolute CdA"
          what="an absolute CdA"
        />
        <p class="legend">Standard uncertainties. They add as squares, so the largest decides.</p>
      </section>
      <Learnt finding={finding} />
      <section class="block">
        <h2>Evidence</h2>
        <p class="legend">Method {finding.method}. The recordings by their SHA-256:</p>
        <ul class="inputs">
          {finding.inputs.map((input) => (
            <li key={`${input.file}-${input.sha256}`}>
              {input.file} <code>{input.sha256.slice(0, 16)}</code>
            </li>
          ))}
        </ul>
      </section>
    </div>
  );
}

function CheckLine({ check }: { check: ResidualCheck }) {
  const p = check.pValue < 0.001 ? 'p < 0.001' : `p ${fixed(check.pValue, 3)}`;
  return (
    <li class={check.passed ? 'check' : 'check check-failed'}>
      <b class="check-word">{check.passed ? 'Passed' : 'Did not pass'}</b>
      <span class="check-name">
        {check.name}{' '}
        <span class="unit">
          {signed(check.statistic, 3)}, {p}
        </span>
      </span>
      <span class="check-meaning">{check.meaning}</span>
    </li>
  );
}

/** Residuals lap by lap: a lap that the model does not fit stands off. */
function ByLap({ finding }: { finding: FieldDragFinding }) {
  const order = new Map(finding.laps.map((lap, i) => [`${lap.run}.${lap.lap}`, i + 1]));
  const points = finding.residuals.rows.flatMap((row) => {
    const x = order.get(`${row.run}.${row.lap}`);
    return x === undefined ? [] : [{ x, z: row.z }];
  });
  return (
    <figure>
      <figcaption>
        <h3>By lap</h3>
      </figcaption>
      <Drawing
        describe={(style) => residualFigure({ against: 'lap, in the order ridden', points }, style)}
        inputs={[finding]}
      />
    </figure>
  );
}

function Learnt({ finding }: { finding: FieldDragFinding }) {
  const { estimated } = finding;
  const rows: [string, string][] = [
    ['Scatter from lap to lap', `${fixed(estimated.lapScatterM2, 4)}${thin}m²`],
    ['Scatter from run to run', `${fixed(estimated.runScatterM2, 4)}${thin}m²`],
    [
      'Drift over the day',
      withUncertainty(
        estimated.driftM2PerHour,
        estimated.driftStandardUncertainty,
        'm² per hour',
        true,
      ),
    ],
    [
      'Mean wind',
      estimated.meanWindMps === null ? 'not known' : `${fixed(estimated.meanWindMps, 1)}${thin}m/s`,
    ],
    [
      'Scale of the airspeed sensor',
      estimated.airspeedScale === null
        ? 'no sensor used'
        : withUncertainty(
            estimated.airspeedScale,
            estimated.airspeedScaleStandardUncertainty ?? 0,
            '',
            false,
          ),
    ],
    ['Altitude', estimated.usedAltitude ? 'used' : 'not used'],
    ['Heading', estimated.usedHeading ? 'used' : 'not used'],
  ];
  return (
    <section class="block">
      <h2>What the day taught about itself</h2>
      <dl class="learnt">
        {rows.map(([term, value]) => (
          <div key={term}>
            <dt>{term}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

function withUncertainty(value: number, uncertainty: number, unit: string, sign: boolean): string {
  const decimals = decimalsFor(uncertainty);
  return `${(sign ? signed : fixed)(value, decimals)} ± ${fixed(uncertainty, decimals)}${unit ? thin + unit : ''}`;
}

function Budget({
  finding,
  of,
  title,
  what,
}: {
  finding: FieldDragFinding;
  of: 'ofDifferenceM2' | 'ofAbsoluteM2';
  title: string;
  what: string;
}) {
  return (
    <figure>
      <figcaption>
        <h3>{title}</h3>
      </figcaption>
      <Drawing
        describe={(style) =>
          budgetFigure(
            finding.budget.map((line) => ({ source: line.source, uncertaintyM2: line[of] })),
            what,
            style,
          )
        }
        inputs={[finding]}
      />
    </figure>
  );
}
