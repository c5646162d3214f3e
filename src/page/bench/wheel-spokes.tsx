import { fixed, signed, thin } from '../../figures/index.ts';
import type { WheelFinding } from '../../application/contract.ts';

const words = {
  gains: 'gains tension',
  loses: 'loses tension',
  unchanged: 'keeps its tension',
} as const;

/** Role and sign stand together: the two names are used both ways, the sign comes from the mechanics. */
export function WheelSpokes({ finding }: { finding: WheelFinding }) {
  return (
    <details>
      <summary>Each spoke, and what braking does to it</summary>
      <p class="legend">
        Change of tension for 1{thin}N m of braking at the hub, mean over a turn. Leading and
        trailing say where the spoke’s rim end lies: ahead of its hole in the flange or behind.
      </p>
      <table class="finding-table spoke-table">
        <thead>
          <tr>
            <th scope="col">Spoke</th>
            <th scope="col">Under braking</th>
            <th scope="col">N per N m</th>
            <th scope="col">Tension</th>
          </tr>
        </thead>
        <tbody>
          {finding.spokes.map((one) => (
            <tr key={one.spoke}>
              <th scope="row">
                {one.spoke}
                <span class="under">{one.side}</span>
              </th>
              <td>
                {words[one.underBraking]}
                <span class="under">{one.role}</span>
              </td>
              <td>{signed(one.deltaTensionPerNm, 2)}</td>
              <td>
                {fixed(one.tensionN, 0)}
                {thin}N
                <span class="under">
                  {fixed(one.lengthM * 1000, 1)}
                  {thin}mm
                </span>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </details>
  );
}
