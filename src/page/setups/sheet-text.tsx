import { useRef, useState } from 'preact/hooks';
import type { DayWork } from '../day/use-day.ts';
import { keptText, useKeptText } from '../parts/kept-text.ts';
import { placeText } from '../parts/problems.tsx';

/** The sheet as the text that it is. A mistake is stored all the same, and said with its line. */
export function SheetText({ id, work }: { id: string; work: DayWork }) {
  const name = `${id}:sheet`;
  const view = work.view;
  const saved = view?.sheet ?? '';
  const typed = useKeptText(name, saved);
  const broken = view !== null && view.sheetData === null;
  const [open, setOpen] = useState(() => broken || keptText(name) !== null);
  const area = useRef<HTMLTextAreaElement>(null);
  const lines = typed.text.split('\n').length;
  const goTo = (line: number) => {
    const element = area.current;
    if (!element) return;
    const before = typed.text.split('\n').slice(0, line - 1);
    const start = before.join('\n').length + (line > 1 ? 1 : 0);
    const end = typed.text.indexOf('\n', start);
    element.focus();
    element.setSelectionRange(start, end < 0 ? typed.text.length : end);
    const height = parseFloat(getComputedStyle(element).lineHeight);
    element.scrollTop = Math.max(0, (line - 4) * height);
  };
  const save = async () => {
    if (await work.writeSheet(typed.text)) typed.clear();
  };
  const placed = (view?.sheetProblems ?? []).filter((problem) => problem.place?.line !== undefined);
  return (
    <section class="block">
      <details
        class="sheet"
        open={open}
        onToggle={(event) => setOpen((event.currentTarget as HTMLDetailsElement).open)}
      >
        <summary>The day sheet as text</summary>
        {typed.dirty && (
          <p class="field-help">
            Not saved yet. Kept in this browser until you save it or go back.
          </p>
        )}
        {!typed.dirty && placed.length > 0 && (
          <ul class="line-list" aria-label="Mistakes by line">
            {placed.map((problem, i) => (
              <li key={i}>
                <button type="button" class="button" onClick={() => goTo(problem.place?.line ?? 1)}>
                  {placeText(undefined, problem.place)}
                </button>
                <span>
                  {problem.message} {problem.remedy}
                </span>
              </li>
            ))}
          </ul>
        )}
        <div class="sheet-edit">
          <label class="unseen" for="sheet-text">
            Day sheet, YAML
          </label>
          <textarea
            id="sheet-text"
            ref={area}
            value={typed.text}
            rows={Math.min(30, Math.max(12, lines + 1))}
            spellcheck={false}
            wrap="off"
            autocapitalize="off"
            onInput={(event) => typed.set(event.currentTarget.value)}
          />
        </div>
        <div class="actions">
          <button
            type="button"
            class="button primary"
            disabled={!typed.dirty || work.saving}
            onClick={() => void save()}
          >
            Save the sheet
          </button>
          <button
            type="button"
            class="button plain"
            disabled={!typed.dirty}
            onClick={() => typed.clear()}
          >
            Go back to what is saved
          </button>
        </div>
      </details>
    </section>
  );
}
