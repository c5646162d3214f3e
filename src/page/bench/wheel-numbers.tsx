import { decimalsFor, fixed, thin } from '../../figures/index.ts';
import type { WheelFinding } from '../../application/contract.ts';

/** Decimals that show three digits of a value, or one more. */
export const threeDecimals = (value: number): number =>
  Math.max(0, Math.min(4, decimalsFor(value / 200)));

export const three = (value: number): string => fixed(value, threeDecimals(value));

const newtons = (value: number | null): string =>
  value === null ? 'none found' : `${fixed(value, 0)}${thin}N`;

/** The stiffnesses in both definitions and without tension, and what the wheel bears before it gives way. */
export function WheelNumbers({ finding }: { finding: WheelFinding }) {
  const rows = [
    {
      name: 'Lateral',
      unit: 'N/mm',
      mean: finding.lateralNPerMm,
      at: finding.lateralAtSpokeNPerMm,
      midway: finding.lateralMidwayNPerMm,
      untensioned: finding.lateralUntensionedNPerMm,
      onBearings: finding.onBearings?.lateralNPerMm,
    },
    {
      name: 'Radial',
      unit: 'N/mm',
      mean: finding.radialNPerMm,
      at: finding.radialAtSpokeNPerMm,
      midway: finding.radialMidwayNPerMm,
      untensioned: finding.radialUntensionedNPerMm,
      onBearings: finding.onBearings?.radialNPerMm,
    },
    {
      name: 'Torsional',
      unit: 'N m/°',
      mean: finding.torsionalNmPerDeg,
      at: null,
      midway: null,
      untensioned: finding.torsionalUntensionedNmPerDeg,
      onBearings: finding.onBearings?.torsionalNmPerDeg,
    },
  ];
  return (
    <>
      <table class="finding-table wheel-numbers">
        <caption>
          <h2>Stiffness</h2>
        </caption>
        <thead>
          <tr>
            <th scope="col">Load</th>
            <th scope="col">Mean</th>
            <th scope="col">At a spoke</th>
            <th scope="col">Midway</th>
            <th scope="col">No tension</th>
            {finding.onBearings && <th scope="col">On bearings</th>}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.name}>
              <th scope="row">
                {row.name}
                <span class="under">{row.unit}</span>
              </th>
              <td>{three(row.mean)}</td>
              <td>{row.at === null ? '' : three(row.at)}</td>
              <td>{row.midway === null ? '' : three(row.midway)}</td>
              <td>{three(row.untensioned)}</td>
              {row.onBearings !== undefined && <td>{three(row.onBearings)}</td>}
            </tr>
          ))}
        </tbody>
      </table>
      <p class="legend">
        Load on the rim’s centroid line, hub held. The mean is of at a spoke and midway between two,
        tension counted in; “no tension” leaves its softening out.
      </p>
      <dl class="learnt">
        {finding.sides.map((side) => (
          <div key={side.side}>
            <dt>
              {side.count} spokes {side.side}
            </dt>
            <dd>
              {fixed(side.meanTensionN, 0)}
              {thin}N, {fixed(side.bracingAngleDeg, 1)}°, {fixed(side.lengthM * 1000, 1)}
              {thin}mm
            </dd>
          </div>
        ))}
        <div>
          <dt>First spoke slack at a side load of</dt>
          <dd>{newtons(finding.firstSlackSideLoadN)}</dd>
        </div>
        <div>
          <dt>Sideways stiffness is gone at a mean tension, tighter side, of</dt>
          <dd>{newtons(finding.collapseTensionN)}</dd>
        </div>
      </dl>
    </>
  );
}
