import { useRef } from 'preact/hooks';
import type { Problem } from '../../application/contract.ts';
import { useKeptText } from '../parts/kept-text.ts';
import { placeText } from '../parts/problems.tsx';
import type { ItemWork } from './use-item.ts';

/** The readings or the sheet as the text that they are, lines numbered; a mistake leads to its line. */
export function InputText({
  id,
  work,
  label,
  mistakes = work.view?.problems ?? [],
}: {
  id: string;
  work: ItemWork;
  label: string;
  /** Problems to mend in the text; those with a line are listed. */
  mistakes?: readonly Problem[];
}) {
  const typed = useKeptText(`${id}:bench-text`, work.input);
  const area = useRef<HTMLTextAreaElement>(null);
  const gutter = useRef<HTMLPreElement>(null);
  const lines = typed.text.split('\n').length;
  const rows = Math.min(34, Math.max(8, lines + 1));
  const placed = mistakes.filter((one) => one.place?.line !== undefined);
  const marked = new Set(typed.dirty ? [] : placed.map((one) => one.place?.line));
  const goTo = (line: number) => {
    const element = area.current;
    if (!element) return;
    const before = typed.text.split('\n').slice(0, line - 1);
    const start = before.join('\n').length + (line > 1 ? 1 : 0);
    const end = typed.text.indexOf('\n', start);
    element.focus();
    element.setSelectionRange(start, end < 0 ? typed.text.length : end);
    element.scrollTop = Math.max(0, (line - 4) * parseFloat(getComputedStyle(element).lineHeight));
  };
  const save = async () => {
    if (await work.change({ input: typed.text })) typed.clear();
  };
  return (
    <div class="block">
      {!typed.dirty && <LineList problems={placed} goTo={goTo} />}
      <div class="numbered">
        <pre ref={gutter} aria-hidden="true">
          {Array.from(
            { length: Math.max(lines, rows) },
            (_, i) => `${marked.has(i + 1) ? '▸ ' : ''}${i < lines ? i + 1 : ' '}\n`,
          )}
        </pre>
        <textarea
          ref={area}
          id="bench-text"
          aria-label={label}
          value={typed.text}
          rows={rows}
          spellcheck={false}
          wrap="off"
          autocapitalize="off"
          onScroll={(event) => {
            if (gutter.current) gutter.current.scrollTop = event.currentTarget.scrollTop;
          }}
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
          Save the text
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
      {typed.dirty && (
        <p class="field-help">Not saved yet. Kept in this browser until you save it or go back.</p>
      )}
    </div>
  );
}

function LineList({ problems, goTo }: { problems: Problem[]; goTo: (line: number) => void }) {
  if (problems.length === 0) return null;
  return (
    <ul class="line-list" aria-label="Mistakes by line">
      {problems.map((problem, i) => (
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
  );
}
