import type { BenchView, Problem, WheelSheetEdit } from '../../application/contract.ts';
import { SavedField } from '../parts/saved-field.tsx';
import { numberCheck, readNumber } from '../parts/typed-number.ts';
import type { ItemWork } from './use-item.ts';
import { fieldGroups, shifted, shownValue, valueAt } from './wheel-fields.ts';
import type { WheelField } from './wheel-fields.ts';

type Item = Extract<BenchView, { kind: 'wheel' }>;

/** The main numbers of a wheel, each written into its place of the sheet; the rest of the sheet stays. */
export function WheelForm({ item, work }: { item: Item; work: ItemWork }) {
  const { id, sheetData: data } = item;
  if (data === null) {
    return <p>The text cannot be read as a sheet; mend it there, and the form comes back.</p>;
  }
  // On a phone four lists one under the other are a long way; there they begin folded.
  const wide = window.matchMedia('(min-width: 700px)').matches;
  const edit = (...edits: WheelSheetEdit[]) => work.change({ edits });
  return (
    <div class="block wheel-form">
      <div class="fields">
        <SavedField
          name={`${id}:name`}
          label="Name of the wheel"
          value={shownValue(data, { path: 'name', label: '', shift: 0, needed: true })}
          check={(text) => (text === '' ? 'A wheel needs a name.' : null)}
          save={(value) => edit({ op: 'set', path: 'name', value })}
        />
        <div class="field">
          <label for="disc-side">Brake disc</label>
          <select
            id="disc-side"
            value={String(valueAt(data, 'discSide') ?? '')}
            onChange={(event) => {
              const { value } = event.currentTarget;
              void edit(
                value === ''
                  ? { op: 'unset', path: 'discSide' }
                  : { op: 'set', path: 'discSide', value },
              );
            }}
          >
            <option value="">None</option>
            <option value="left">Left</option>
            <option value="right">Right</option>
          </select>
        </div>
      </div>
      {fieldGroups(data).map(({ title, help, rows }) => (
        <details key={title} open={wide || hasFault(rows, item.problems)}>
          <summary>{title}</summary>
          {help && <p class="legend">{help}</p>}
          <div class="fields">
            {rows.map((row) => (
              <div key={row[0].path} class={row.length > 1 ? 'side-pair' : ''}>
                {row.map((field) => (
                  <NumberField key={field.path} item={item} field={field} edit={edit} />
                ))}
              </div>
            ))}
          </div>
        </details>
      ))}
    </div>
  );
}

function NumberField({
  item,
  field,
  edit,
}: {
  item: Item;
  field: WheelField;
  edit: (...edits: WheelSheetEdit[]) => Promise<boolean>;
}) {
  const { path, label, unit, shift, needed, help, placeholder, instead = [] } = field;
  return (
    <SavedField
      name={`${item.id}:${path}`}
      label={label}
      unit={unit}
      help={help}
      fault={faultOf(item.problems, path)}
      placeholder={placeholder}
      numeric
      value={shownValue(item.sheetData, field)}
      check={numberCheck(!needed)}
      save={(text) => {
        if (text === '') return edit({ op: 'unset', path });
        const others = instead.filter((other) => valueAt(item.sheetData, other) !== undefined);
        return edit(...others.map((other): WheelSheetEdit => ({ op: 'unset', path: other })), {
          op: 'set',
          path,
          value: shifted(readNumber(text), -shift),
        });
      }}
    />
  );
}

const hasFault = (
  rows: readonly (readonly WheelField[])[],
  problems: readonly Problem[],
): boolean => rows.flat().some(({ path }) => faultOf(problems, path) !== undefined);

/** What the check of the sheet says of one place. */
const faultOf = (problems: readonly Problem[], path: string): string | undefined =>
  problems
    .filter(({ place }) => place?.field === path)
    .map(({ message, remedy }) => `${message} ${remedy ?? ''}`.trim())
    .at(0);
