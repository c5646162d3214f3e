import { useState } from 'preact/hooks';
import type { SoundSummary } from '../../application/contract.ts';
import { momentText } from '../../figures/index.ts';
import { listenHref } from '../route.ts';
import { soundKinds, stateWords } from './words.ts';

const orders = ['setup', 'kind', 'date'] as const;
type Order = (typeof orders)[number];

/** The sounds of the library by setup, kind or date; those of no setup come last. */
export function SoundList({
  sounds,
  remove,
}: {
  sounds: readonly SoundSummary[];
  remove: (sound: SoundSummary) => void;
}) {
  const [by, setBy] = useState<Order>('setup');
  const [wanted, setWanted] = useState('');
  const words = wanted.toLowerCase().split(/\s+/).filter(Boolean);
  const found = sounds.filter((sound) => {
    const { title, date, setup, file, kind, headline } = sound;
    const text = `${title} ${date} ${setup} ${file} ${soundKinds[kind]} ${headline}`.toLowerCase();
    return words.every((word) => text.includes(word));
  });
  return (
    <section aria-label="Sounds in the library" class="block">
      {sounds.length > 3 && (
        <div class="item-search">
          <div class="field">
            <label for="search">Search the sounds</label>
            <input
              id="search"
              type="search"
              value={wanted}
              autocomplete="off"
              onInput={(event) => setWanted(event.currentTarget.value)}
            />
          </div>
          <div class="field">
            <label for="grouped">Put together by</label>
            <select
              id="grouped"
              value={by}
              onChange={(event) =>
                setBy(orders.find((one) => one === event.currentTarget.value) ?? 'setup')
              }
            >
              {orders.map((one) => (
                <option key={one} value={one}>
                  {one}
                </option>
              ))}
            </select>
          </div>
          <p role="status" class="search-count">
            {words.length === 0 ? `${sounds.length} sounds` : `${found.length} of ${sounds.length}`}
          </p>
        </div>
      )}
      {groupsOf(found, by).map(({ name, own }) => (
        <section key={name} class="item-group">
          {name !== '' && <h2>{name}</h2>}
          <ul class="day-list">
            {own.map((sound) => (
              <li key={sound.id}>
                <SoundLine sound={sound} by={by} />
                <button
                  type="button"
                  class="button plain"
                  aria-label={`Remove "${sound.title}"`}
                  onClick={() => remove(sound)}
                >
                  Remove
                </button>
              </li>
            ))}
          </ul>
        </section>
      ))}
    </section>
  );
}

function SoundLine({ sound, by }: { sound: SoundSummary; by: Order }) {
  const { id, title, headline, date, durationS, kind, setup, state } = sound;
  return (
    <a class="day-line" href={listenHref(id)}>
      <b class="day-title">{title}</b>
      <span class="day-headline">{headline}</span>
      <span class="day-facts">
        <span>
          <time dateTime={date}>{date}</time>
          {durationS !== null && `, ${momentText(durationS)} long`}
        </span>
        {by !== 'kind' && <span class="tag">{soundKinds[kind]}</span>}
        {by !== 'setup' && setup && <span class="tag">Setup {setup}</span>}
        {state !== 'ready' && <span class="tag">{stateWords[state]}</span>}
      </span>
    </a>
  );
}

/** Groups in the order of their newest sound, what belongs to no setup last; one group has no name. */
function groupsOf(
  sounds: readonly SoundSummary[],
  by: Order,
): { name: string; own: SoundSummary[] }[] {
  const nameOf = { kind: kindOf, setup: setupOf, date: dateOf }[by];
  const groups = new Map<string, SoundSummary[]>();
  for (const sound of sounds) {
    const name = nameOf(sound);
    groups.set(name, [...(groups.get(name) ?? []), sound]);
  }
  const loose = groups.get('') ?? [];
  groups.delete('');
  const named = [...groups].map(([name, own]) => ({ name, own }));
  if (by === 'date') named.sort((a, b) => (a.name < b.name ? 1 : -1));
  if (loose.length === 0) return named;
  return [...named, { name: named.length > 0 ? 'Of no setup' : '', own: loose }];
}

const kindOf = ({ kind }: SoundSummary): string => soundKinds[kind];
const setupOf = ({ setup }: SoundSummary): string => (setup === '' ? '' : `Setup ${setup}`);
const dateOf = ({ date }: SoundSummary): string => date;
