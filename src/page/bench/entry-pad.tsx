import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { keepText, keptText } from '../parts/kept-text.ts';
import { Choice, Keys, type EntryChoice } from './entry-keys.tsx';

type Values = Record<string, string>;

export interface EntryField {
  name: string;
  label: string;
  unit?: string;
  /** What the plan of readings suggests; empty for what is read off. */
  suggested: string;
}

/** A button that fills the fields in another way. */
export interface EntryShift {
  text: string;
  run: (values: Values) => Values;
}

export interface EntryPadProps {
  /** Unique on the bench: what is half typed is kept under it. */
  name: string;
  heading: string;
  /** What to do now, in large letters; said of the values as they stand in the fields. */
  note?: string | ((values: Values) => string);
  /** Where this reading belongs, in small letters under it. */
  detail?: string | ((values: Values) => string);
  /** Where and how it is read; shown on demand, with `shifts`, unless `openFields`. */
  fields: readonly EntryField[];
  choice: EntryChoice;
  /** The field that is read off. */
  read: EntryField;
  signed: boolean;
  openFields?: boolean;
  /** Always at hand beside undo. */
  extra?: readonly EntryShift[];
  /** At hand in their place while the fields are shown. */
  shifts?: readonly EntryShift[];
  /** Must be answered before the next reading: buttons in place of the keys. */
  ask?: { question: string; answers: readonly EntryShift[] };
  saveText?: string;
  /** A complaint where the values do not make a reading; null when it is saved. */
  save: (values: Values) => string | null;
  /** Takes the last reading back and answers its values, to be corrected. Left out: no such button. */
  undo?: () => Values | null;
  canUndo?: boolean;
  /** More buttons beside undo, that do something else than fill the fields. */
  actions?: readonly { text: string; run: () => void }[];
}

/**
 * One reading a step: what to do in large letters, what is read off in large figures. Keys of our own, large
 * enough for gloves, write into the field that was touched last; a keyboard writes as usual, Enter saves.
 */
export function EntryPad(props: EntryPadProps) {
  const { name, heading, fields, choice, read, ask } = props;
  const { typed, values, put } = useTyped(name, [...fields, read, choice]);
  const [active, setActive] = useState(read.name);
  const [wrong, setWrong] = useState<string | null>(null);
  const [said, setSaid] = useState('');
  const [shown, setShown] = useState(false);
  const main = useRef<HTMLInputElement>(null);
  const open = props.openFields === true || shown;
  const textOf = (text: EntryPadProps['note']) =>
    typeof text === 'function' ? text(values) : text;
  const detail = textOf(props.detail);
  const asked = ask !== undefined && Object.keys(typed).length === 0 && !open ? ask : null;

  const note = asked ? asked.question : textOf(props.note);

  const change = (next: Values) => {
    put(next);
    setWrong(null);
  };
  const write = (field: string, text: string) => change({ ...typed, [field]: text });
  const press = (key: string) => {
    // A suggestion is replaced by the first key, not added to.
    const before = typed[active] ?? '';
    if (key === 'delete') write(active, (typed[active] ?? values[active]).slice(0, -1));
    else if (key === '-') write(active, before.startsWith('-') ? before.slice(1) : `-${before}`);
    else if (key !== '.' || !before.includes('.')) write(active, before + key);
  };
  const shift = ({ run, text }: EntryShift) => {
    change({ ...typed, ...run(values) });
    setShown(false);
    setActive(read.name);
    setSaid(text);
    // The field may only come with the next drawing, where a question stood in its place.
    window.requestAnimationFrame(() => main.current?.focus({ preventScroll: true }));
  };
  const commit = () => {
    const complaint = props.save(values);
    setWrong(complaint);
    if (complaint !== null) return;
    setSaid(`${heading} saved: ${values[read.name]}${read.unit ? ` ${read.unit}` : ''}.`);
    put({});
    setActive(read.name);
    setShown(false);
  };
  const takeBack = () => {
    const before = props.undo?.();
    if (before) {
      put(before);
      setSaid('The last reading is back in the fields: correct it and save it again.');
    }
    setActive(read.name);
  };
  // After a reading a keyboard goes on where it was; on a phone this opens nothing, by inputMode.
  const first = useRef(true);
  useEffect(() => {
    if (first.current) first.current = false;
    else main.current?.focus({ preventScroll: true });
  }, [heading]);

  const shiftButtons = (shifts: readonly EntryShift[] = []) =>
    shifts.map((one) => (
      <button key={one.text} type="button" class="button" onClick={() => shift(one)}>
        {one.text}
      </button>
    ));
  const input = (field: EntryField, large: boolean) => (
    <div class={large ? 'entry-read' : 'entry-where'} key={field.name}>
      <label for={`entry-${field.name}`}>
        {field.label}
        {field.unit && <span class="unit">, {field.unit}</span>}
      </label>
      <input
        id={`entry-${field.name}`}
        ref={large ? main : undefined}
        class={active === field.name ? 'entry-active' : ''}
        value={values[field.name]}
        inputMode="none"
        autocomplete="off"
        enterkeyhint="done"
        aria-invalid={large && wrong !== null}
        aria-describedby={large && wrong !== null ? 'entry-wrong' : undefined}
        onFocus={(event) => {
          setActive(field.name);
          event.currentTarget.select();
        }}
        onInput={(event) => write(field.name, event.currentTarget.value)}
      />
    </div>
  );
  return (
    <form
      class="entry"
      aria-label={heading}
      onSubmit={(event) => {
        event.preventDefault();
        if (!asked) commit();
      }}
    >
      <div class="entry-step">
        <h2>{heading}</h2>
        {note && <p class="entry-note">{note}</p>}
        {detail && !asked && !shown && <p class="entry-detail">{detail}</p>}
      </div>
      <div class="entry-tools">
        {props.undo && !shown && (
          <button
            type="button"
            class="button"
            aria-label="Undo the last reading"
            disabled={!props.canUndo}
            onClick={takeBack}
          >
            Undo
          </button>
        )}
        {!asked && shiftButtons(shown ? props.shifts : props.extra)}
        {props.actions?.map(({ text, run }) => (
          <button key={text} type="button" class="button" onClick={run}>
            {text}
          </button>
        ))}
        {props.openFields !== true && (
          <button
            type="button"
            class="button"
            aria-expanded={shown}
            onClick={() => setShown(!shown)}
          >
            {shown ? 'Done' : 'Change'}
          </button>
        )}
      </div>
      {open && (
        <div class="entry-open">
          <Choice choice={choice} value={values[choice.name]} choose={write} />
          <div class="entry-fields">{fields.map((field) => input(field, false))}</div>
        </div>
      )}
      {asked ? (
        <div class="entry-ask">{shiftButtons(asked.answers)}</div>
      ) : (
        <>
          {input(read, true)}
          {wrong !== null && (
            <p id="entry-wrong" class="field-wrong" role="alert">
              {wrong}
            </p>
          )}
          <Keys
            label={`Keys for ${labelOf([...fields, read], active)}`}
            signed={props.signed}
            press={press}
            saveText={props.saveText ?? 'Save reading'}
          />
        </>
      )}
      <p role="status" class="unseen">
        {said}
      </p>
    </form>
  );
}

/** What is half typed, kept in the browser; where nothing is typed the suggestion stands. */
function useTyped(name: string, parts: readonly { name: string; suggested: string }[]) {
  const kept = `${name}:typed`;
  const [typed, setTyped] = useState<Values>(() => readTyped(keptText(kept)));
  const values = useMemo(() => {
    const suggested = parts.map((one) => [one.name, one.suggested]);
    return { ...Object.fromEntries(suggested), ...typed } as Values;
  }, [typed, parts]);
  const put = (next: Values) => {
    setTyped(next);
    keepText(kept, Object.keys(next).length > 0 ? JSON.stringify(next) : null);
  };
  return { typed, values, put };
}

const labelOf = (fields: readonly EntryField[], name: string): string =>
  fields.find((field) => field.name === name)?.label ?? '';

function readTyped(text: string | null): Values {
  try {
    const data: unknown = JSON.parse(text ?? '{}');
    const pairs = typeof data === 'object' && data !== null ? Object.entries(data) : [];
    return Object.fromEntries(pairs.filter(([, value]) => typeof value === 'string')) as Values;
  } catch {
    return {};
  }
}
