import { useState } from 'preact/hooks';
import type { ComponentChildren } from 'preact';

/** An entry that is searched by its text and put together with others by one of several names. */
interface Entry {
  id: string;
  title: string;
}

interface Group<One> {
  name: string;
  own: One[];
}

/**
 * A list that is searched and grouped, each entry with a button to remove it. Short lists have neither search nor choice.
 * `nameOf` answers the heading of an entry's group, empty for one of no setup.
 */
export function GroupedList<One extends Entry, Order extends string>({
  label,
  searchLabel,
  counted,
  entries,
  orders,
  textOf,
  nameOf,
  newestName,
  line,
  remove,
}: {
  label: string;
  searchLabel: string;
  /** `items`, `sounds`. */
  counted: string;
  entries: readonly One[];
  /** The first is chosen at the beginning. */
  orders: readonly [Order, ...Order[]];
  textOf: (entry: One) => string;
  nameOf: (entry: One, by: Order) => string;
  /** The order whose groups stand by name, latest first; the others stand by their newest entry. */
  newestName?: Order;
  line: (entry: One, by: Order) => ComponentChildren;
  remove: (entry: One) => void;
}) {
  const [by, setBy] = useState<Order>(orders[0]);
  const [wanted, setWanted] = useState('');
  const words = wanted.toLowerCase().split(/\s+/).filter(Boolean);
  const found = entries.filter((entry) => {
    const text = textOf(entry).toLowerCase();
    return words.every((word) => text.includes(word));
  });
  const groups = groupsOf(found, (entry) => nameOf(entry, by), by === newestName);
  return (
    <section aria-label={label} class="block">
      {entries.length > 3 && (
        <div class="item-search">
          <div class="field">
            <label for="search">{searchLabel}</label>
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
                setBy(orders.find((one) => one === event.currentTarget.value) ?? orders[0])
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
            {words.length === 0
              ? `${entries.length} ${counted}`
              : `${found.length} of ${entries.length}`}
          </p>
        </div>
      )}
      {groups.map(({ name, own }) => (
        <section key={name} class="item-group">
          {name !== '' && <h2>{name}</h2>}
          <ul class="day-list">
            {own.map((entry) => (
              <li key={entry.id}>
                {line(entry, by)}
                <button
                  type="button"
                  class="button plain"
                  aria-label={`Remove "${entry.title}"`}
                  onClick={() => remove(entry)}
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

/** Groups in the order of their newest entry, what belongs to no setup last; one group has no name. */
function groupsOf<One>(
  entries: readonly One[],
  nameOf: (entry: One) => string,
  latestNameFirst: boolean,
): Group<One>[] {
  const groups = new Map<string, One[]>();
  for (const entry of entries) {
    const name = nameOf(entry);
    groups.set(name, [...(groups.get(name) ?? []), entry]);
  }
  const loose = groups.get('') ?? [];
  groups.delete('');
  const named = [...groups].map(([name, own]) => ({ name, own }));
  if (latestNameFirst) named.sort((a, b) => (a.name < b.name ? 1 : -1));
  if (loose.length === 0) return named;
  return [...named, { name: named.length > 0 ? 'Of no setup' : '', own: loose }];
}

/** Heading of a setup's group. */
export const setupName = ({ setup }: { setup: string }): string =>
  setup === '' ? '' : `Setup ${setup}`;
