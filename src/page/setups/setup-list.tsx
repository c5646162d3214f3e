import { useState } from 'preact/hooks';
import type { DayEdit } from '../../application/contract.ts';
import { dragWords } from '../finding/words.ts';
import { BenchLinks, useSetupBench } from '../bench/setup-items.tsx';
import { setupIdFor } from '../day/sheet-form.ts';
import type { FormSetup, SheetForm } from '../day/sheet-form.ts';
import type { DayWork } from '../day/use-day.ts';
import { useNotices } from '../parts/notices.tsx';
import { SavedField } from '../parts/saved-field.tsx';
import { numberCheck, readNumber } from '../parts/typed-number.ts';

const shown = (value: unknown): string =>
  typeof value === 'number' || typeof value === 'string' ? String(value) : '';

export function SetupList({ id, work, form }: { id: string; work: DayWork; form: SheetForm }) {
  const { say } = useNotices();
  const bench = useSetupBench(id, work.view?.changedAt);
  const remove = async (setup: FormSetup) => {
    const before = work.view?.sheet;
    if (!(await work.edit([{ op: 'remove-setup', setup: setup.id }]))) return;
    say(`${setup.name} is removed; its runs wait for another setup.`, {
      label: 'Undo',
      run: () => before !== undefined && void work.writeSheet(before),
    });
  };
  return (
    <section class="block">
      <h2>Setups</h2>
      <p class="legend">
        A setup is all that is fitted and worn. Every other setup is compared with control.
      </p>
      <ul class="setups">
        {form.setups.map((setup, i) => {
          const runs = form.runs.filter((run) => run.setup === setup.id).length;
          const drag = work.finding?.setups.find((one) => one.id === setup.id);
          const optional = (field: string, text: string): Promise<boolean> => {
            const path = `setups.${i}.${field}`;
            const edit: DayEdit =
              text === '' ? { op: 'unset', path } : { op: 'set', path, value: readNumber(text) };
            return work.edit([edit]);
          };
          return (
            <li key={setup.id} class="setup">
              <SavedField
                name={`${id}:setup:${setup.id}:name`}
                label={`Name of setup ${i + 1}`}
                value={setup.name}
                check={(text) => (text === '' ? 'A setup needs a name.' : null)}
                save={(text) => work.edit([{ op: 'set', path: `setups.${i}.name`, value: text }])}
              />
              <div class="setup-line">
                <label class="choice">
                  <input
                    type="radio"
                    name="control"
                    checked={form.control === setup.id}
                    onChange={() => void work.edit([{ op: 'set-control', setup: setup.id }])}
                  />
                  <span>
                    Control<span class="unseen"> is {setup.name}</span>
                  </span>
                </label>
                <span class="unit">
                  {runs} {runs === 1 ? 'run' : 'runs'}
                  {drag && `, CdA ${dragWords(drag)}`}
                </span>
                <button
                  type="button"
                  class="button plain"
                  disabled={form.control === setup.id}
                  aria-label={`Remove setup ${setup.name}`}
                  onClick={() => void remove(setup)}
                >
                  Remove
                </button>
              </div>
              <BenchLinks
                items={bench.find((one) => one.setup === setup.id)?.items ?? []}
                of={setup.name}
              />
              <details>
                <summary>Mass and wheels of {setup.name}</summary>
                <div class="fields">
                  <SavedField
                    name={`${id}:setup:${setup.id}:mass`}
                    label="Mass more than the day's"
                    unit="kg"
                    numeric
                    value={shown(setup.massOffsetKg)}
                    check={numberCheck(true)}
                    save={(text) => optional('massOffsetKg', text)}
                  />
                  <SavedField
                    name={`${id}:setup:${setup.id}:inertia`}
                    label="Moment of inertia, both wheels"
                    unit="kg m²"
                    numeric
                    value={shown(setup.wheelInertiaKgM2)}
                    check={numberCheck(true)}
                    save={(text) => optional('wheelInertiaKgM2', text)}
                  />
                  <SavedField
                    name={`${id}:setup:${setup.id}:crr`}
                    label="Own Crr, if its tyres differ"
                    numeric
                    value={shown(setup.crr)}
                    check={numberCheck(true)}
                    save={(text) => optional('crr', text)}
                  />
                </div>
              </details>
            </li>
          );
        })}
      </ul>
      <AddSetup work={work} form={form} />
    </section>
  );
}

function AddSetup({ work, form }: { work: DayWork; form: SheetForm }) {
  const [name, setName] = useState('');
  const add = async (event: Event) => {
    event.preventDefault();
    const plain = name.trim();
    if (plain === '') return;
    const taken = form.setups.map((setup) => setup.id);
    const setup = { id: setupIdFor(plain, taken), name: plain };
    if (await work.edit([{ op: 'add-setup', setup }])) setName('');
  };
  return (
    <form class="inline-form" onSubmit={(event) => void add(event)}>
      <div class="field grow">
        <label for="add-setup">Another setup</label>
        <input
          id="add-setup"
          value={name}
          maxLength={120}
          autocomplete="off"
          onInput={(event) => setName(event.currentTarget.value)}
        />
      </div>
      <button class="button">Add the setup</button>
    </form>
  );
}
