import { useState } from 'preact/hooks';
import { useKeptText } from './kept-text.ts';

/**
 * A labelled field that saves itself when it is left or Enter is pressed. What is typed and not yet saved
 * survives a reload; what `check` refuses is said beside the field and not sent.
 */
export function SavedField({
  name,
  label,
  unit,
  value,
  help,
  fault,
  placeholder,
  numeric = false,
  check,
  save,
}: {
  /** Unique in the day; also the name under which unsaved text is kept. */
  name: string;
  label: string;
  unit?: string;
  value: string;
  help?: string;
  /** What is wrong with the saved value, said in place of the help. */
  fault?: string;
  /** Shown where nothing is written: what then holds. */
  placeholder?: string;
  numeric?: boolean;
  /** What is wrong with the text, or null. */
  check?: (text: string) => string | null;
  save: (text: string) => Promise<boolean>;
}) {
  const kept = useKeptText(name, value);
  const [wrong, setWrong] = useState<string | null>(null);
  const id = `field-${name.replace(/[^a-zA-Z0-9]+/g, '-')}`;
  const said = wrong ?? (kept.dirty ? undefined : fault);
  const commit = async () => {
    if (!kept.dirty) {
      kept.clear();
      setWrong(null);
      return;
    }
    const complaint = check?.(kept.text.trim()) ?? null;
    setWrong(complaint);
    if (complaint === null && (await save(kept.text.trim()))) kept.clear();
  };
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <span class="with-unit">
        <input
          id={id}
          value={kept.text}
          inputMode={numeric ? 'decimal' : 'text'}
          class={numeric ? 'number' : ''}
          autocomplete="off"
          placeholder={placeholder}
          aria-invalid={said !== undefined}
          aria-describedby={said !== undefined || help ? `${id}-note` : undefined}
          onInput={(event) => kept.set(event.currentTarget.value)}
          onBlur={() => void commit()}
          onKeyDown={(event) => {
            if (event.key === 'Enter') void commit();
          }}
        />
        {unit && <span class="unit">{unit}</span>}
      </span>
      {(said !== undefined || help) && (
        <span id={`${id}-note`} class={said !== undefined ? 'field-wrong' : 'field-help'}>
          {said ?? help}
        </span>
      )}
    </div>
  );
}
