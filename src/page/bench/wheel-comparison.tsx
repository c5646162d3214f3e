import { fixed, signed, thin } from '../../figures/index.ts';
import type { RimFit, WheelFinding } from '../../application/contract.ts';
import { three, threeDecimals } from './wheel-numbers.tsx';

type Comparison = NonNullable<WheelFinding['comparison']>;

/** Where the difference of two wheels comes from, term by term. */
export function WheelComparisonPart({
  finding,
  comparison,
}: {
  finding: WheelFinding;
  comparison: Comparison;
}) {
  const { other, stiffnesses, lateralDifferenceNPerMm: whole, terms } = comparison;
  const largest = Math.max(...terms.map((one) => Math.abs(one.lateralNPerMm)), 1e-9);
  // To the place of the two that it is the difference of.
  const decimals = threeDecimals(Math.max(stiffnesses.lateralNPerMm, finding.lateralNPerMm));
  const by = `${fixed(Math.abs(whole), decimals)}${thin}N/mm`;
  const how = whole >= 0 ? 'stiffer' : 'less stiff';
  return (
    <section class="block" aria-label={`Beside ${other}`}>
      <h2>Beside {other}</h2>
      <p class="comparison-head">
        {other} is {by} {how} sideways: {fixed(stiffnesses.lateralNPerMm, decimals)} against{' '}
        {fixed(finding.lateralNPerMm, decimals)}
        {thin}N/mm.
      </p>
      <p>
        Radial {three(stiffnesses.radialNPerMm)} against {three(finding.radialNPerMm)}
        {thin}N/mm, torsional {three(stiffnesses.torsionalNmPerDeg)} against{' '}
        {three(finding.torsionalNmPerDeg)}
        {thin}N m/°.
      </p>
      {terms.length > 0 && (
        <table class="finding-table terms">
          <caption>What each change does to the sideways stiffness</caption>
          <thead>
            <tr>
              <th scope="col">Changed</th>
              <th scope="col">N/mm</th>
              <th scope="col">Share</th>
            </tr>
          </thead>
          <tbody>
            {terms.map((one) => (
              <tr key={one.term}>
                <th scope="row">
                  {one.term}
                  <span class="under">{one.change}</span>
                </th>
                <td>
                  {signed(one.lateralNPerMm, 1)}
                  <span
                    class={`term-bar ${one.lateralNPerMm < 0 ? 'term-less' : ''}`}
                    style={{ width: `${(Math.abs(one.lateralNPerMm) / largest) * 100}%` }}
                    aria-hidden="true"
                  />
                </td>
                <td>{one.sharePercent === null ? '' : `${fixed(one.sharePercent, 0)}${thin}%`}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {terms.length > 0 && (
        <p class="legend">
          Each change alone, averaged over all orders in which they can be made; together they are
          the whole difference. A share above 100{thin}% is taken back by another.
        </p>
      )}
    </section>
  );
}

/** ` (41.0 to 44.2)`; an end that no rim reaches is open. */
function ends(interval: RimFit['rimFactorCi95'], decimals: number): string {
  if (interval === null) return '';
  const [low, high] = interval;
  if (low === null) return high === null ? '' : ` (at most ${fixed(high, decimals)})`;
  return high === null
    ? ` (at least ${fixed(low, decimals)})`
    : ` (${fixed(low, decimals)} to ${fixed(high, decimals)})`;
}

export function RimFitPart({ fit, other }: { fit: RimFit; other: string | null }) {
  return (
    <section class="block" aria-label="Rim fitted to the bench">
      <h2>Rim fitted to the bench</h2>
      <p>
        To give {three(fit.benchLateralNPerMm)}
        {thin}N/mm, this rim must be {fixed(fit.rimFactor, 2)} times as stiff as the sheet says,
        sideways and in torsion{ends(fit.rimFactorCi95, 2)}.
      </p>
      <dl class="learnt">
        <div>
          <dt>Second moment, sideways</dt>
          <dd>
            {three(fit.iLateralM4 * 1e12)}
            {thin}mm⁴
          </dd>
        </div>
        <div>
          <dt>Torsion constant</dt>
          <dd>
            {three(fit.torsionM4 * 1e12)}
            {thin}mm⁴
          </dd>
        </div>
        {fit.predictedOtherNPerMm !== null && other !== null && (
          <div>
            <dt>{other}, its rim changed alike</dt>
            <dd>
              {three(fit.predictedOtherNPerMm)}
              {thin}N/mm{ends(fit.predictedOtherCi95, 1)}
            </dd>
          </div>
        )}
      </dl>
    </section>
  );
}
