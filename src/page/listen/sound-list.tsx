import type { SoundSummary } from '../../application/contract.ts';
import { momentText } from '../../figures/index.ts';
import { GroupedList, setupName } from '../parts/grouped-list.tsx';
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
  return (
    <GroupedList
      label="Sounds in the library"
      searchLabel="Search the sounds"
      counted="sounds"
      entries={sounds}
      orders={orders}
      textOf={({ title, date, setup, file, kind, headline }) =>
        `${title} ${date} ${setup} ${file} ${soundKinds[kind]} ${headline}`
      }
      nameOf={(sound, by) => names[by](sound)}
      newestName="date"
      line={(sound, by) => <SoundLine sound={sound} by={by} />}
      remove={remove}
    />
  );
}

const names: Record<Order, (sound: SoundSummary) => string> = {
  setup: setupName,
  kind: ({ kind }) => soundKinds[kind],
  date: ({ date }) => date,
};

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
