import { thin } from '../../figures/index.ts';
import type { DayWork } from '../day/use-day.ts';
import { ranked, setupName, withHalf } from './words.ts';

/** The comparison in one line, to be seen while laps and setups are changed. */
export function Verdicts({ work }: { work: DayWork }) {
  const { finding, stale, view } = work;
  if (!finding) {
    return (
      <span class="strip-none">{view?.reducing ? 'Reducing …' : 'No finding yet. See why.'}</span>
    );
  }
  return (
    <span class={`strip-list ${stale ? 'stale' : ''}`}>
      {ranked(finding).map((d) => (
        <span class="strip-item" key={d.setup}>
          <b>{setupName(finding, d.setup)}</b> {withHalf(d.wattsAtReference, d.wattsCi95)}
          {thin}W{d.verdict === 'not separable' ? ', not separable' : ''}
        </span>
      ))}
    </span>
  );
}
