import type { ComponentChildren } from 'preact';

/** What was taken out of a list, folded away, each with its way back. Nothing removed: nothing shown. */
export function RemovedList<Entry extends { id: string; title: string; date: string }>({
  title,
  removed,
  tag,
  restore,
}: {
  title: ComponentChildren;
  removed: readonly Entry[];
  /** What kind of entry it is, where the list holds several. */
  tag?: (entry: Entry) => string;
  restore: (entry: Entry) => Promise<void>;
}) {
  if (removed.length === 0) return null;
  return (
    <details class="removed">
      <summary>
        {title} <span class="unit">({removed.length})</span>
      </summary>
      <ul class="day-list">
        {removed.map((entry) => (
          <li key={entry.id}>
            <div class="day-line">
              <b class="day-title">{entry.title}</b>
              <span class="day-facts">
                {entry.date}
                {tag && <span class="tag">{tag(entry)}</span>}
              </span>
            </div>
            <button
              type="button"
              class="button"
              aria-label={`Restore "${entry.title}"`}
              onClick={() => void restore(entry)}
            >
              Restore
            </button>
          </li>
        ))}
      </ul>
    </details>
  );
}
