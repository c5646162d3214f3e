import { useState } from 'preact/hooks';
import type { PluckSoundView } from '../../application/contract.ts';
import { fixed, thin } from '../../figures/index.ts';
import { ItemChoice, useOthers } from '../bench/other-items.tsx';
import { Segments } from '../bench/segments.tsx';
import { SavedField } from '../parts/saved-field.tsx';
import { numberCheck, readNumber } from '../parts/typed-number.ts';
import { leverTorqueNm } from './pluck-words.ts';
import type { SoundWork } from './use-sound.ts';

const shown = (value: number | null): string => (value === null ? '' : String(value));

/** How the wheel was held, and which wheel it was. */
export function PluckSettings({ sound, work }: { sound: PluckSoundView; work: SoundWork }) {
  const { id, options, format } = sound;
  const { lever, brakeTorqueNm } = options;
  const wheels = useOthers('wheel', '');
  const set = (change: Partial<PluckSoundView['options']>) => work.change({ options: change });
  const actual = lever ? 'lever' : brakeTorqueNm === 0 ? 'free' : 'torque';
  // What was chosen and has no numbers yet: nothing is stored before they are given.
  const [chosen, setChosen] = useState<typeof actual | null>(null);
  const [draft, setDraft] = useState<{ massKg?: number; lengthM?: number }>({});
  const held = chosen ?? actual;
  const own: { massKg?: number; lengthM?: number } = { ...lever, ...draft };
  const saveLever = async (name: 'massKg' | 'lengthM', text: string) => {
    const next = { ...own, [name]: readNumber(text) };
    setDraft(next);
    const { massKg, lengthM } = next;
    if (massKg === undefined || lengthM === undefined) return true;
    const saved = await set({ lever: { massKg, lengthM } });
    if (saved) setChosen(null);
    return saved;
  };
  const leverField = (name: 'massKg' | 'lengthM', label: string, unit: string) => (
    <SavedField
      name={`${id}:${name}`}
      label={label}
      unit={unit}
      numeric
      value={shown(own[name] ?? null)}
      check={positive}
      save={(text) => saveLever(name, text)}
    />
  );
  return (
    <section class="block" aria-label="How they were plucked">
      <h2>How they were plucked</h2>
      <Segments
        name="plucks-held"
        label="Torque on the hub"
        value={held}
        options={[
          { value: 'free', text: 'Free' },
          { value: 'lever', text: 'Weight on a lever' },
          { value: 'torque', text: 'Known torque' },
        ]}
        choose={(next) => {
          setDraft({});
          setChosen(next === actual || next === 'free' ? null : next);
          if (next === 'free') void set({ lever: null, brakeTorqueNm: 0 });
        }}
      />
      {chosen !== null && <p class="legend">Counts once the numbers below are given.</p>}
      <div class="fields">
        {held === 'lever' && leverField('massKg', 'Mass of the weight', 'kg')}
        {held === 'lever' && leverField('lengthM', 'Length of the lever, level', 'm')}
        {held === 'lever' && lever && (
          <p class="pluck-torque">
            Torque: {fixed(leverTorqueNm(lever.massKg, lever.lengthM), 1)}
            {thin}N{thin}m
          </p>
        )}
        {held === 'torque' && (
          <SavedField
            name={`${id}:torque`}
            label="Torque on the hub, brake locked"
            unit="N m"
            numeric
            value={actual === 'torque' ? shown(brakeTorqueNm) : ''}
            check={positive}
            save={async (text) => {
              const saved = await set({ lever: null, brakeTorqueNm: readNumber(text) });
              if (saved) setChosen(null);
              return saved;
            }}
          />
        )}
        <ItemChoice
          name="plucks-wheel"
          label="Wheel sheet"
          none={wheels?.length === 0 ? 'No wheel sheet on the bench' : 'None'}
          value={options.wheel}
          items={wheels}
          choose={(wheel) => void set({ wheel })}
        />
        {format && format.channels > 1 && (
          <div class="field">
            <label for="plucks-channel">Channel</label>
            <select
              id="plucks-channel"
              value={String(options.channel)}
              onChange={(event) => {
                const { value } = event.currentTarget;
                void set({ channel: value === 'mix' ? 'mix' : Number(value) });
              }}
            >
              <option value="mix">Mean of all</option>
              {Array.from({ length: format.channels }, (_, i) => (
                <option key={i} value={String(i + 1)}>
                  {i + 1}
                </option>
              ))}
            </select>
          </div>
        )}
      </div>
    </section>
  );
}

const positive = (text: string): string | null =>
  numberCheck(false)(text) ?? (readNumber(text) > 0 ? null : 'A number above 0 is needed.');
