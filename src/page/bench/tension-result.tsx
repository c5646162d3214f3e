import { fixed, rimStripFigure, signed, thin, tightOrLoose } from '../../figures/index.ts';
import type { SideTension, TensionFinding } from '../../application/contract.ts';
import { Drawing } from '../parts/drawing.tsx';
import { withInterval } from './words.ts';

/** The readings as tensions: in a sentence, along the rim, by side, and left against right. */
export function TensionResult({ finding }: { finding: TensionFinding }) {
  const { balance } = finding;
  const planned = balance !== null && balance.turns.length > 0;
  const above = finding.spokes.filter((one) => one.aboveMaximum);
  const spokes = finding.spokes.map((one, i) => ({
    ...one,
    plannedN: planned ? (balance.predictedN[i] ?? null) : null,
  }));
  return (
    <>
      <div class="sentence">
        <p>{headlineOf(finding)}</p>
        {above.length > 0 && (
          <p class="above-maximum">
            Above the maker’s maximum: {spokeList(above)}. Loosen before anything else.
          </p>
        )}
      </div>
      <Drawing
        describe={(style) =>
          rimStripFigure(
            {
              spokes,
              sides: finding.sides,
              runs: finding.sides.flatMap(({ side, runs }) =>
                runs.map((run) => ({ ...run, side })),
              ),
              tolerancePercent: finding.tolerance.percent,
              maximumN: finding.maximumN,
            },
            style,
          )
        }
        inputs={[finding]}
      />
      <p class="legend">
        The rim cut at the valve and laid flat. Line: mean of a side. Band: tolerance (
        {finding.tolerance.source}); a square is outside it. Bracket: neighbours all tight or all
        loose.{planned && ' Short bar: where the plan leads.'}
      </p>
      <Sides finding={finding} />
      <Ratio finding={finding} />
      <Condition finding={finding} />
    </>
  );
}

function headlineOf({ spokes, tolerance }: TensionFinding): string {
  const outside = spokes.filter((one) => !one.insideTolerance).length;
  const within = `${fixed(tolerance.percent, 0)}${thin}% of the mean of ${outside === 1 ? 'its' : 'their'} side`;
  if (outside === 0) return `All ${spokes.length} spokes are within ${within}.`;
  return `${outside} of ${spokes.length} spokes ${outside === 1 ? 'is' : 'are'} not within ${within}.`;
}

const spokeList = (spokes: readonly { spoke: number; tensionN: number }[]): string =>
  spokes.map(({ spoke, tensionN }) => `spoke ${spoke} (${fixed(tensionN, 0)}${thin}N)`).join(', ');

function Sides({ finding }: { finding: TensionFinding }) {
  const runs = finding.sides.flatMap(({ side, runs: own }) => own.map((run) => ({ ...run, side })));
  return (
    <>
      <table class="finding-table sides-table">
        <caption>
          <h2>Each side</h2>
        </caption>
        <thead>
          <tr>
            <th scope="col">Side</th>
            <th scope="col">Mean</th>
            <th scope="col">Spread</th>
            <th scope="col">Worst spoke</th>
          </tr>
        </thead>
        <tbody>
          {finding.sides.map((one) => (
            <tr key={one.side}>
              <th scope="row">
                {one.side}
                <span class="under">{one.spokes} spokes</span>
              </th>
              <td>
                <Mean side={one} />
              </td>
              <td>
                {fixed(one.spreadPercent, 1)}
                {thin}%
                <span class="under">
                  {fixed(one.lowestN, 0)} to {fixed(one.highestN, 0)}
                  {thin}N
                </span>
              </td>
              <td>
                {one.worst.spoke}
                <span class="under">{tightOrLoose(one.worst.deviationPercent)}</span>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      {runs.length > 0 && (
        <ul class="runs-told" aria-label="Neighbours tight or loose together">
          {runs.map((run) => (
            <li key={`${run.side}${run.spokes.join()}`}>
              On the {run.side} {run.spokes.join(', ')} together are{' '}
              {tightOrLoose(run.deviationPercent)}: they pull the rim.
            </li>
          ))}
        </ul>
      )}
      {finding.repeatabilityN !== null && (
        <p class="legend">
          A reading repeats to {fixed(finding.repeatabilityN, 0)}
          {thin}N (standard deviation of spokes read more than once).
        </p>
      )}
    </>
  );
}

function Mean({ side }: { side: SideTension }) {
  if (side.meanCi95 === null) {
    return (
      <>
        {fixed(side.meanN, 0)}
        {thin}N<span class="under">each read once</span>
      </>
    );
  }
  const [value, interval] = withInterval(side.meanN, side.meanCi95, 'N').split(' (');
  return (
    <>
      {value}
      <span class="under">{interval.replace(')', '')}</span>
    </>
  );
}

function Ratio({ finding }: { finding: TensionFinding }) {
  const { ratio } = finding;
  if (ratio === null) return null;
  const { measured, measuredCi95, demanded, differencePercent } = ratio;
  return (
    <dl class="learnt">
      <div>
        <dt>Left through right, measured</dt>
        <dd>
          {fixed(measured, 3)}
          {measuredCi95 && (
            <span class="under">
              {fixed(measuredCi95[0], 3)} to {fixed(measuredCi95[1], 3)}
            </span>
          )}
        </dd>
      </div>
      <div>
        <dt>Demanded by hub and rim, for a rim in the middle</dt>
        <dd>
          {demanded === null ? 'needs a wheel sheet' : fixed(demanded, 3)}
          {differencePercent !== null && (
            <span class="under">
              measured {signed(differencePercent, 1)}
              {thin}%
            </span>
          )}
        </dd>
      </div>
    </dl>
  );
}

/** How readings became tensions, where they are none themselves. */
function Condition({ finding }: { finding: TensionFinding }) {
  const { pitch, gauge } = finding;
  return (
    <>
      {gauge && (
        <ul class="runs-told" aria-label="What the gauge’s table covers">
          {gauge.map(({ side, points, reading, tensionN }) => (
            <li key={side}>
              Gauge table, {side}: {points} points, readings {reading[0]} to {reading[1]}, tensions{' '}
              {fixed(tensionN[0], 0)} to {fixed(tensionN[1], 0)}
              {thin}N.
            </li>
          ))}
        </ul>
      )}
      {pitch && (
        <section class="block" aria-label="From pitch to tension">
          <h2>From pitch to tension</h2>
          <p>
            {pitch.condition === 'calibrated' && pitch.knownSpoke
              ? `The hold of the ends is calibrated on spoke ${pitch.knownSpoke.spoke}, known to have ${fixed(pitch.knownSpoke.tensionN, 0)}${thin}N.`
              : `The ends are taken as ${pitch.condition}; one spoke of known tension would calibrate that.`}
          </p>
          <dl class="learnt">
            {(['clamped', 'pinned', 'string'] as const).map((one) => (
              <div key={one}>
                <dt>Mean spoke, {one === 'string' ? 'as a plain string' : `ends ${one}`}</dt>
                <dd>
                  {fixed(pitch.meanByConditionN[one], 0)}
                  {thin}N
                </dd>
              </div>
            ))}
          </dl>
        </section>
      )}
    </>
  );
}
