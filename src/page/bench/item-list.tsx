import type { BenchSummary } from '../../application/contract.ts';
import { GroupedList, setupName } from '../parts/grouped-list.tsx';
import { benchHref } from '../route.ts';
import { kindNames } from './words.ts';

const orders = ['setup', 'kind'] as const;
type Order = (typeof orders)[number];

/** What is on the bench, by setup or by kind; items of no setup come last. */
export function ItemList({
  items,
  remove,
}: {
  items: readonly BenchSummary[];
  remove: (item: BenchSummary) => void;
}) {
  return (
    <GroupedList
      label="Items on the bench"
      searchLabel="Search the bench"
      counted="items"
      entries={items}
      orders={orders}
      textOf={({ title, date, setup, kind }) => `${title} ${date} ${setup} ${kindNames[kind]}`}
      nameOf={(item, by) => (by === 'kind' ? kindNames[item.kind] : setupName(item))}
      line={(item, by) => <ItemLine item={item} by={by} />}
      remove={remove}
    />
  );
}

function ItemLine({ item, by }: { item: BenchSummary; by: Order }) {
  return (
    <a class="day-line" href={benchHref(item.id)}>
      <b class="day-title">{item.title}</b>
      <span class="day-headline">{item.headline}</span>
      <span class="day-facts">
        <time dateTime={item.date}>{item.date}</time>
        {by === 'setup' ? (
          <span class="tag">{kindNames[item.kind]}</span>
        ) : (
          item.setup && <span class="tag">Setup {item.setup}</span>
        )}
      </span>
    </a>
  );
}
