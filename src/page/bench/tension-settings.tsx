import type { BenchView } from '../../application/contract.ts';
import { SavedField } from '../parts/saved-field.tsx';
import { numberCheck, readNumber } from '../parts/typed-number.ts';
import { CalibrationTable } from './calibration-table.tsx';
import { KnownSpoke } from './known-spoke.tsx';
import { ItemChoice, useOthers } from './other-items.tsx';
import { kindsOfReading } from './tension-words.ts';
import type { ItemWork } from './use-item.ts';

type Item = Extract<BenchView, { kind: 'tension' }>;
type As = Item['options']['as'];

type OptionalNumber = 'tolerancePercent' | 'maximumN' | 'lateralLimitMm' | 'radialLimitMm';

const shown = (value: number | null): string => (value === null ? '' : String(value));

/** What the readings are, and what they are held against. */
export function TensionSettings({ item, work }: { item: Item; work: ItemWork }) {
  const { id, options } = item;
  const wheels = useOthers('wheel', id);
  const set = (change: Partial<Item['options']>) => work.change({ options: change });
  const optional = (name: OptionalNumber) => (text: string) =>
    set({ [name]: text === '' ? null : readNumber(text) });
  return (
    <section class="block" aria-label="How it is read">
      <h2>How it is read</h2>
      <div class="fields">
        <div class="field">
          <label for="read-as">What is read</label>
          <select
            id="read-as"
            value={options.as}
            onChange={(event) => void set({ as: event.currentTarget.value as As })}
          >
            {(Object.keys(kindsOfReading) as As[]).map((as) => (
              <option key={as} value={as}>
                {kindsOfReading[as]}
              </option>
            ))}
          </select>
        </div>
        <ItemChoice
          name="wheel-choice"
          label="Wheel sheet, for what to turn"
          none={wheels?.length === 0 ? 'No wheel sheet on the bench' : 'None: no plan of turns'}
          value={options.wheel}
          items={wheels}
          choose={(wheel) => void set({ wheel })}
        />
        <SavedField
          name={`${id}:maximum`}
          label="Maker’s maximum tension"
          unit="N"
          numeric
          value={shown(options.maximumN)}
          placeholder="not known"
          help="Of rim or spoke, whichever is lower. No plan goes above it."
          check={numberCheck(true)}
          save={optional('maximumN')}
        />
        <SavedField
          name={`${id}:tolerance`}
          label="Tolerance about the mean of a side"
          unit="%"
          numeric
          value={shown(options.tolerancePercent)}
          placeholder="20"
          help="20 is common practice."
          check={numberCheck(true)}
          save={optional('tolerancePercent')}
        />
      </div>
      <details>
        <summary>Units, and how far the plan may move the rim</summary>
        <div class="fields">
          <div class="field">
            <label for="tension-unit">Tensions are in</label>
            <select
              id="tension-unit"
              value={options.unit ?? ''}
              onChange={(event) =>
                void set({ unit: (event.currentTarget.value || null) as Item['options']['unit'] })
              }
            >
              <option value="">Newtons, ask where in doubt</option>
              <option value="N">Newtons (N)</option>
              <option value="kgf">Kilograms-force (kgf)</option>
              <option value="lbf">Pounds-force (lbf)</option>
            </select>
          </div>
          <SavedField
            name={`${id}:lateral-limit`}
            label="Sideways at most"
            unit="mm"
            numeric
            value={shown(options.lateralLimitMm)}
            placeholder="the usual"
            check={numberCheck(true)}
            save={optional('lateralLimitMm')}
          />
          <SavedField
            name={`${id}:radial-limit`}
            label="Up or down at most"
            unit="mm"
            numeric
            value={shown(options.radialLimitMm)}
            placeholder="the usual"
            check={numberCheck(true)}
            save={optional('radialLimitMm')}
          />
        </div>
      </details>
      {options.as === 'pitch' && <KnownSpoke item={item} work={work} />}
      {options.as === 'gauge' && <CalibrationTable item={item} work={work} />}
    </section>
  );
}
