import { useEffect, useState } from 'preact/hooks';
import type { BenchKind, BenchSummary } from '../../application/contract.ts';
import { listBench } from '../api.ts';
import { benchHref } from '../route.ts';

/** Items of one kind on the bench other than this one, for a choice; null until they are known. */
export function useOthers(kind: BenchKind, but: string): BenchSummary[] | null {
  const [items, setItems] = useState<BenchSummary[] | null>(null);
  useEffect(() => {
    void listBench().then(
      (all) => setItems(all.filter((one) => one.kind === kind && one.id !== but)),
      () => undefined,
    );
  }, [kind, but]);
  return items;
}

/** One item out of a list, or none. */
export function ItemChoice({
  name,
  label,
  none,
  value,
  items,
  choose,
}: {
  /** Unique on the page. */
  name: string;
  label: string;
  none: string;
  value: string | null;
  items: readonly BenchSummary[] | null;
  choose: (id: string | null) => void;
}) {
  const lost = value !== null && items !== null && !items.some((one) => one.id === value);
  return (
    <div class="field">
      <label for={name}>{label}</label>
      <select
        id={name}
        value={value ?? ''}
        disabled={items === null}
        onChange={(event) => choose(event.currentTarget.value || null)}
      >
        <option value="">{none}</option>
        {lost && <option value={value}>One that is not here now</option>}
        {items?.map((one) => (
          <option key={one.id} value={one.id}>
            {one.title}
          </option>
        ))}
      </select>
      {value !== null && !lost && (
        <a class="choice-link" href={benchHref(value)}>
          Open it
        </a>
      )}
    </div>
  );
}
