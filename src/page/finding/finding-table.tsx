import { decimalsBeside, fixed, halfWidth, signed, thin } from '../../figures/index.ts';
import type { FieldDragFinding } from '../../application/contract.ts';
import { ranked, setupName } from './words.ts';

/** All setups, lowest drag first; control has no difference to itself. */
export function FindingTable({ finding }: { finding: FieldDragFinding }) {
  const order = [
    ...ranked(finding).map((d) => ({ id: d.setup, delta: d.deltaCdaM2 })),
    { id: finding.control, delta: 0 },
  ].sort((a, b) => a.delta - b.delta);
  return (
    <div class="block">
      <table class="finding-table">
        <caption>
          <h2>All setups, lowest drag first</h2>
        </caption>
        <thead>
          <tr>
            <th scope="col">Setup</th>
            <th scope="col">
              Difference <span class="under">m²</span>
            </th>
            <th scope="col">
              Power <span class="under">W</span>
            </th>
            <th scope="col">
              CdA <span class="under">m²</span>
            </th>
            <th scope="col">
              Laps <span class="under">(runs)</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {order.map(({ id }) => {
            const difference = finding.differences.find((d) => d.setup === id);
            const setup = finding.setups.find((s) => s.id === id);
            return (
              <tr key={id}>
                <th scope="row">
                  {setupName(finding, id)}
                  {id === finding.control && <span class="under">control</span>}
                  {difference && (
                    <span class="under">
                      {difference.verdict === 'lower'
                        ? 'less drag'
                        : difference.verdict === 'higher'
                          ? 'more drag'
                          : 'not separable'}
                    </span>
                  )}
                </th>
                <td>
                  {difference && (
                    <Value value={difference.deltaCdaM2} ends={difference.ci95} sign />
                  )}
                </td>
                <td>
                  {difference && (
                    <Value value={difference.wattsAtReference} ends={difference.wattsCi95} sign />
                  )}
                </td>
                <td>{setup && <Value value={setup.cdaM2} ends={setup.ci95} />}</td>
                <td>
                  {setup && (
                    <>
                      {setup.laps} ({setup.runs})
                      {setup.lapsLeftOut > 0 && (
                        <span class="under">{setup.lapsLeftOut} left out</span>
                      )}
                    </>
                  )}
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
      <p class="legend">
        ± is half the 95{thin}% interval. Watts at {finding.reference.speedKmh}
        {thin}km/h and {finding.reference.airDensityKgM3}
        {thin}kg/m³. Absolute CdA carries the uncertainty of rolling resistance and power meter;
        differences mostly do not.
      </p>
    </div>
  );
}

/** A value over the half-width of its interval, with the digits that the interval bears. */
function Value({
  value,
  ends,
  sign = false,
}: {
  value: number;
  ends: [number, number];
  sign?: boolean;
}) {
  const half = halfWidth(ends);
  const decimals = decimalsBeside(value, half);
  return (
    <>
      {(sign ? signed : fixed)(value, decimals)}
      <span class="under">± {fixed(half, decimals)}</span>
    </>
  );
}
