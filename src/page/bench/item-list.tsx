import { useState } from 'preact/hooks';
import type { BenchKind, BenchSummary } from '../../application/contract.ts';
import { benchHref } from '../route.ts';
import { kindNames } from './words.ts';

/** What is on the bench, by setup or by kind; items of no setup come last. */
export function ItemList({
  items,
  remove,
}: {
  items: readonly BenchSummary[];
  remove: (item: BenchSummary) => void;
}) {
  const [by, setBy] = useState<'setup' | 'kind'>('setup');
  const [wanted, setWanted] = useState('');
  const words = wanted.toLowerCase().split(/\s+/).filter(Boolean);
  const found = items.filter((item) => {
    const text = `${item.title} ${item.date} ${item.setup} ${kindNames[item.kind]}`.toLowerCase();
    return words.every((word) => text.includes(word));
  });
  return (
    <section aria-label="Items on the bench" class="block">
      {items.length > 3 && (
        <div class="item-search">
          <div class="field">
            <label for="search">Search the bench</label>
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
              onChange={(event) => setBy(event.currentTarget.value === 'kind' ? 'kind' : 'setup')}
            >
              <option value="setup">setup</option>
              <option value="kind">kind</option>
            </select>
          </div>
          <p role="status" class="search-count">
            {words.length === 0 ? `${items.length} items` : `${found.length} of ${items.length}`}
          </p>
        </div>
      )}
      {groupsOf(found, by).map(({ name, own }) => (
        <section key={name} class="item-group">
          {name !== '' && <h2>{name}</h2>}
          <ul class="day-list">
            {own.map((item) => (
              <li key={item.id}>
                <ItemLine item={item} by={by} />
                <button
                  type="button"
                  class="button plain"
                  aria-label={`Remove "${item.title}"`}
                  onClick={() => remove(item)}
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

function ItemLine({ item, by }: { item: BenchSummary; by: 'setup' | 'kind' }) {
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

/** Groups in the order of their newest item, what belongs to no setup last; one group has no name. */
function groupsOf(
  items: readonly BenchSummary[],
  by: 'setup' | 'kind',
): { name: string; own: BenchSummary[] }[] {
  const nameOf = ({ kind, setup }: { kind: BenchKind; setup: string }) =>
    by === 'kind' ? kindNames[kind] : setup;
  const groups = new Map<string, BenchSummary[]>();
  for (const item of items) {
    const name = nameOf(item);
    groups.set(name, [...(groups.get(name) ?? []), item]);
  }
  const loose = groups.get('') ?? [];
  groups.delete('');
  const named = [...groups].map(([name, own]) => ({
    name: by === 'setup' ? `Setup ${name}` : name,
    own,
  }));
  if (loose.length === 0) return named;
  return [...named, { name: named.length > 0 ? 'Of no setup' : '', own: loose }];
}
