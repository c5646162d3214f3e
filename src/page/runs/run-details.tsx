import type { DayEdit } from '../../application/contract.ts';
import type { FormRun } from '../day/sheet-form.ts';
import type { DayWork } from '../day/use-day.ts';
import { SavedField } from '../parts/saved-field.tsx';

/** What is wrong with a time of the form h:mm:ss, or null. */
function timeCheck(text: string): string | null {
  if (text === '' || /^\d{1,2}:[0-5]\d:[0-5]\d$/.test(text)) return null;
  return `"${text}" is not a time such as 0:12:30.`;
}

/** The less frequent sides of a run: only a part of its recording, a remark, a second run from it. */
export function RunDetails({
  id,
  number,
  run,
  work,
  takeOut,
}: {
  id: string;
  number: number;
  run: FormRun;
  work: DayWork;
  takeOut: () => void;
}) {
  const save = (field: string, text: string): Promise<boolean> => {
    const path = `runs.${number - 1}.${field}`;
    const edit: DayEdit =
      text === '' ? { op: 'unset', path } : { op: 'set', path, value: twoDigits(field, text) };
    return work.edit([edit]);
  };
  const name = `${id}:run:${number}:${run.file}`;
  return (
    <div class="run-more">
      <div class="fields">
        <SavedField
          name={`${name}:from`}
          label={`Run ${number} begins`}
          unit="h:mm:ss"
          value={run.from ?? ''}
          placeholder="at the start"
          help="Counted from the start of the recording."
          check={timeCheck}
          save={(text) => save('from', text)}
        />
        <SavedField
          name={`${name}:to`}
          label={`Run ${number} ends`}
          unit="h:mm:ss"
          value={run.to ?? ''}
          placeholder="at the end"
          check={timeCheck}
          save={(text) => save('to', text)}
        />
        <SavedField
          name={`${name}:remark`}
          label={`Remark on run ${number}`}
          value={run.remark ?? ''}
          save={(text) => save('remark', text)}
        />
      </div>
      <p class="legend">One recording may hold several runs: give each its begin and end.</p>
      <div class="actions">
        <button
          type="button"
          class="button"
          onClick={() => void work.edit([{ op: 'add-run', run: { file: run.file } }])}
        >
          Another run from this recording
        </button>
        <button type="button" class="button" onClick={takeOut}>
          Take run {number} out
        </button>
      </div>
    </div>
  );
}

/** The sheet writes hours with two digits. */
function twoDigits(field: string, text: string): string {
  return field !== 'remark' && text.length === 7 ? `0${text}` : text;
}
