import type { BenchView } from '../../application/contract.ts';
import { useKeptText } from '../parts/kept-text.ts';
import { SavedField } from '../parts/saved-field.tsx';
import { numberCheck, readNumber } from '../parts/typed-number.ts';
import { readReadings } from './readings.ts';
import type { ItemWork } from './use-item.ts';

type Item = Extract<BenchView, { kind: 'tension' }>;

/** For pitch: a spoke whose tension was measured in another way, on which the ends are calibrated. */
export function KnownSpoke({ item, work }: { item: Item; work: ItemWork }) {
  const { id } = item;
  const { known } = item.options;
  // The number waits in the browser until the tension is there: one without the other says nothing.
  const chosen = useKeptText(`${id}:known-spoke`, known ? String(known.spoke) : '');
  const spokes = [...new Set(readReadings(work.input).rows.map((row) => row.spoke))];
  const set = async (next: { spoke: number; tensionN: number } | null) => {
    const done = await work.change({ options: { known: next } });
    if (done) chosen.clear();
    return done;
  };
  return (
    <fieldset class="block">
      <legend>A spoke of known tension</legend>
      <p class="legend">
        Measured in another way. It shows how the ends of these spokes are held: without one, a
        tension out of a pitch is uncertain by a fifth or more.
      </p>
      <div class="side-pair">
        <div class="field">
          <label for="known-spoke">Its number</label>
          <select
            id="known-spoke"
            value={chosen.text}
            onChange={(event) => {
              const { value } = event.currentTarget;
              chosen.set(value);
              if (value === '') void set(null);
              else if (known) void set({ spoke: Number(value), tensionN: known.tensionN });
            }}
          >
            <option value="">None known</option>
            {spokes.map((spoke) => (
              <option key={spoke} value={spoke}>
                Spoke {spoke}
              </option>
            ))}
          </select>
        </div>
        <SavedField
          name={`${id}:known-tension`}
          label="Its tension"
          unit="N"
          numeric
          value={known ? String(known.tensionN) : ''}
          check={(text) =>
            text !== '' && chosen.text === '' ? 'Choose the spoke first.' : numberCheck(true)(text)
          }
          save={(text) =>
            set(text === '' ? null : { spoke: Number(chosen.text), tensionN: readNumber(text) })
          }
        />
      </div>
    </fieldset>
  );
}
