import { useEffect } from 'preact/hooks';

/** What the head of a screen says of the entry on it; null until it is there. */
interface Shown {
  title: string;
  date: string;
  setup: string;
}

/** Head of a screen for one entry of a list: the way back, what it is, and whether it is saved. */
export function ItemHead({
  list,
  href,
  shown,
  kind,
  missing,
  saving,
  unsaved = false,
}: {
  /** Name of the list that it came from, and its address. */
  list: string;
  href: string;
  shown: Shown | null;
  kind: string;
  /** What is said when it cannot be shown; null while it is on its way. */
  missing: string | null;
  saving: boolean;
  unsaved?: boolean;
}) {
  const title = shown?.title ?? list;
  useEffect(() => {
    document.title = `${title} · Lapbench`;
  }, [title]);
  return (
    <header class="day-head bench-head">
      <a class="button back" href={href}>
        {list}
      </a>
      <div class="day-name">
        <h1>{shown?.title ?? missing ?? 'Opening …'}</h1>
        {shown && (
          <p>
            <time dateTime={shown.date}>{shown.date}</time>
            <span class="tag">{kind}</span>
            {shown.setup && <span class="tag">Setup {shown.setup}</span>}
          </p>
        )}
      </div>
      {shown && (
        <p role="status" class={`save-state ${unsaved && !saving ? 'save-waits' : ''}`}>
          {saving ? 'Saving …' : unsaved ? 'Not saved' : 'Saved'}
        </p>
      )}
    </header>
  );
}
