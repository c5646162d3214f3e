import { useState } from 'preact/hooks';
import type { BenchView } from '../../application/contract.ts';
import { problemsOf, readBench } from '../api.ts';
import { useNotices } from '../parts/notices.tsx';
import { SavedField } from '../parts/saved-field.tsx';
import { numberCheck, readNumber } from '../parts/typed-number.ts';
import { ItemChoice, useOthers } from './other-items.tsx';
import type { ItemWork } from './use-item.ts';

type Item = Extract<BenchView, { kind: 'wheel' }>;

/** What the wheel is held against: another wheel, or readings of the bench. */
export function WheelAgainst({ item, work }: { item: Item; work: ItemWork }) {
  const { id, options } = item;
  const wheels = useOthers('wheel', id);
  const bench = options.benchLateralNPerMm;
  return (
    <section class="block">
      <h2>Hold it against</h2>
      <div class="fields">
        <ItemChoice
          name="compare-with"
          label="Another wheel"
          none={wheels?.length === 0 ? 'No other wheel sheet on the bench' : 'None'}
          value={options.compareWith}
          items={wheels}
          choose={(compareWith) => void work.change({ options: { compareWith } })}
        />
        <SavedField
          name={`${id}:bench`}
          label="Lateral stiffness read on the bench"
          unit="N/mm"
          numeric
          value={bench === null ? '' : String(bench)}
          help="With the slop taken off. The rim is then fitted to it."
          check={numberCheck(true)}
          save={(text) =>
            work.change({
              options: {
                benchLateralNPerMm: text === '' ? null : readNumber(text),
                benchLateralCi95: null,
              },
            })
          }
        />
        <TakeReadings id={id} work={work} />
      </div>
    </section>
  );
}

/** The stiffness out of readings on the bench, put into the field above by one choice. */
function TakeReadings({ id, work }: { id: string; work: ItemWork }) {
  const { say, complain } = useNotices();
  const readings = useOthers('stiffness', id);
  const [busy, setBusy] = useState(false);
  if (readings === null || readings.length === 0) return null;
  const take = async (from: string) => {
    setBusy(true);
    try {
      const { kind, title, result, problems } = await readBench(from);
      if (kind !== 'stiffness' || result === null) complain(problems);
      else {
        const benchLateralNPerMm = Number(result.lateralNPerMm.toPrecision(4));
        const options = { benchLateralNPerMm, benchLateralCi95: result.ci95 };
        if (await work.change({ options }))
          say(`${benchLateralNPerMm} N/mm is taken from "${title}".`);
      }
    } catch (error) {
      complain(problemsOf(error));
    }
    setBusy(false);
  };
  return (
    <div class="field">
      <label for="take-readings">Take it from readings on the bench</label>
      <select
        id="take-readings"
        value=""
        disabled={busy}
        onChange={(event) => {
          const from = event.currentTarget.value;
          event.currentTarget.value = '';
          if (from) void take(from);
        }}
      >
        <option value="">{busy ? 'Reading …' : 'Choose readings'}</option>
        {readings.map((one) => (
          <option key={one.id} value={one.id}>
            {one.title}
          </option>
        ))}
      </select>
    </div>
  );
}
