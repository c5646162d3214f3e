import { useEffect, useState } from 'preact/hooks';
import type { NoiseOptions, NoiseSoundView, SoundSummary } from '../../application/contract.ts';
import { listSounds } from '../api.ts';
import { ItemChoice, useOthers } from '../bench/other-items.tsx';
import { SavedField } from '../parts/saved-field.tsx';
import { readNumber } from '../parts/typed-number.ts';
import { listenHref, pluckHref } from '../route.ts';
import { RideChoice } from './ride-choice.tsx';
import type { SoundWork } from './use-sound.ts';

/** What is known of the ride beside its sound; every piece is kept at once, and says what it helps to tell. */
export function NoiseSettings({ item, work }: { item: NoiseSoundView; work: SoundWork }) {
  const { id, options, format } = item;
  const wheels = useOthers('wheel', '');
  const tensions = useOthers('tension', '');
  const set = (change: Partial<NoiseOptions>) => work.change({ options: { ...change } });
  const local = format?.startClock === 'local';
  return (
    <section class="block" aria-label="What is known of this ride">
      <h2>What is known of this ride</h2>
      <p class="legend">
        The sound alone gives its tones. Each of these makes the odds say more; leave out what you
        do not know.
      </p>
      <PlucksChoice item={item} work={work} />
      <div class="fields">
        <Help text="Says which spoke sounds where, and how braking moves it.">
          <ItemChoice
            name="noise-wheel"
            label="Wheel sheet of the bench"
            none={wheels?.length === 0 ? 'None on the bench' : 'None'}
            value={options.wheel}
            items={wheels}
            choose={(wheel) => void set({ wheel })}
          />
        </Help>
        <Help text="A spoke’s own tension instead of the mean of its side; needs the wheel sheet.">
          <ItemChoice
            name="noise-tensions"
            label="Its spoke tensions"
            none={tensions?.length === 0 ? 'None on the bench' : 'None'}
            value={options.tensions}
            items={tensions}
            choose={(value) => void set({ tensions: value })}
          />
        </Help>
        <NumberField
          {...{ id, set, options }}
          name="brakeTorqueNm"
          label="Brake torque while it howled"
          unit="N m"
          low={0.1}
          high={500}
          help="On this wheel, as a mean. Says where on their curves the spokes were."
        />
      </div>
      <h3>The ride recording</h3>
      <RideChoice {...{ item, set }} />
      {options.ride !== null && (
        <div class="fields">
          <NumberField
            {...{ id, set, options }}
            name="startS"
            label="The sound begins in the ride at"
            unit="s"
            low={-86_400}
            high={1_000_000}
            placeholder="by the clocks of both files"
            help="Seconds from the ride’s first sample, when the clocks cannot be trusted."
          />
          <NumberField
            {...{ id, set, options }}
            name="zoneMinutes"
            label="Sound recorder’s zone ahead of UTC"
            unit="min"
            low={-840}
            high={840}
            whole
            placeholder={local ? 'needed here' : 'not needed'}
            help={
              local
                ? 'This file gives local time only: 60 for UTC+1, 120 for UTC+2.'
                : 'Only for files that give local time: 60 for UTC+1.'
            }
          />
          <NumberField
            {...{ id, set, options }}
            name="circumferenceM"
            label="Rolling circumference of the wheel"
            unit="m"
            low={0.5}
            high={3.5}
            placeholder="2.130, a 28-622 tyre"
            help="Turns speed into turns of the wheel."
          />
        </div>
      )}
      <details open={options.rotorSlots !== null || options.treadBlocks !== null}>
        <summary>What passes at each turn</summary>
        <div class="fields">
          <NumberField
            {...{ id, set, options }}
            name="rotorSlots"
            label="Slots of the rotor in one turn"
            unit=""
            low={1}
            high={10_000}
            whole
            help="A tone with so many cycles a turn is the rotor’s pattern, not a spoke."
          />
          <NumberField
            {...{ id, set, options }}
            name="treadBlocks"
            label="Blocks of the tread in one turn"
            unit=""
            low={1}
            high={10_000}
            whole
            help="A tone with so many cycles a turn is the tyre."
          />
        </div>
      </details>
      {format !== null && format.channels > 1 && (
        <div class="field channel-choice">
          <label for="noise-channel">Channel that is listened to</label>
          <select
            id="noise-channel"
            value={String(options.channel)}
            onChange={(event) => {
              const value = event.currentTarget.value;
              void set({ channel: value === 'mix' ? 'mix' : Number(value) });
            }}
          >
            <option value="mix">mean of all {format.channels}</option>
            {Array.from({ length: format.channels }, (_, i) => (
              <option key={i} value={i + 1}>
                channel {i + 1} alone
              </option>
            ))}
          </select>
          <span class="field-help">
            One channel alone where another is overdriven or full of wind. It is then listened to
            afresh.
          </span>
        </div>
      )}
    </section>
  );
}

function Help({ text, children }: { text: string; children: preact.ComponentChildren }) {
  return (
    <div class="helped">
      {children}
      <span class="field-help">{text}</span>
    </div>
  );
}

type NumberName = {
  [Name in keyof NoiseOptions]: NoiseOptions[Name] extends number | null ? Name : never;
}[keyof NoiseOptions];

function NumberField({
  id,
  options,
  set,
  name,
  label,
  unit,
  low,
  high,
  whole = false,
  help,
  placeholder,
}: {
  id: string;
  options: NoiseOptions;
  set: (change: Partial<NoiseOptions>) => Promise<boolean>;
  name: NumberName;
  label: string;
  unit: string;
  low: number;
  high: number;
  whole?: boolean;
  help: string;
  placeholder?: string;
}) {
  const value = options[name];
  const check = (text: string): string | null => {
    if (text === '') return null;
    const number = readNumber(text);
    if (!Number.isFinite(number)) return `"${text}" is not a number.`;
    if (whole && !Number.isInteger(number)) return 'A whole number is needed here.';
    return number < low || number > high ? `Between ${low} and ${high}, please.` : null;
  };
  return (
    <SavedField
      name={`${id}:${name}`}
      label={label}
      unit={unit || undefined}
      numeric
      value={value === null ? '' : String(value)}
      help={help}
      placeholder={placeholder ?? 'not known'}
      check={check}
      save={(text) => set({ [name]: text === '' ? null : readNumber(text) })}
    />
  );
}

/** Which recordings of plucks belong to this ride's wheel. */
function PlucksChoice({ item, work }: { item: NoiseSoundView; work: SoundWork }) {
  const { id, options, changedAt } = item;
  const [all, setAll] = useState<SoundSummary[] | null>(null);
  useEffect(() => {
    let current = true;
    void listSounds().then(
      (sounds) => current && setAll(sounds.filter(({ kind }) => kind === 'plucks')),
      () => undefined,
    );
    return () => {
      current = false;
    };
  }, [id, changedAt]);
  const chosen = new Set(options.plucks);
  const toggle = (one: string) => {
    const next = chosen.has(one)
      ? options.plucks.filter((other) => other !== one)
      : [...options.plucks, one];
    void work.change({ options: { plucks: next } });
  };
  return (
    <fieldset class="plucks-choice">
      <legend>Plucks of this wheel</legend>
      <p class="field-help">
        Once free and once under brake torque is best: then each spoke’s pitch is known at any
        torque between.
      </p>
      {all?.map((one) => (
        <div class="plucks-line" key={one.id}>
          <label class="choice">
            <input type="checkbox" checked={chosen.has(one.id)} onChange={() => toggle(one.id)} />
            <span>
              {one.title} <span class="unit">{one.date}</span>
            </span>
          </label>
          <a class="choice-link" href={listenHref(one.id)} aria-label={`Open "${one.title}"`}>
            Open
          </a>
        </div>
      ))}
      <a class="button" href={pluckHref(id)}>
        Pluck its spokes now
      </a>
    </fieldset>
  );
}
