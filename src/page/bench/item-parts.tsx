/** Parts that every kind of bench item shows alike. */
import { ProblemList } from '../parts/problems.tsx';
import { SavedField } from '../parts/saved-field.tsx';
import { RiddenOn } from './setup-items.tsx';
import type { ItemWork } from './use-item.ts';

/** Title, date and the setup that it belongs to. */
export function About({ id, work }: { id: string; work: ItemWork }) {
  const { view, change } = work;
  if (!view) return null;
  return (
    <section class="block" aria-label="About">
      <h2>About</h2>
      <div class="fields">
        <SavedField
          name={`${id}:title`}
          label="Title"
          value={view.title}
          check={(text) => (text === '' ? 'A title is needed.' : null)}
          save={(title) => change({ title })}
        />
        <SavedField
          name={`${id}:date`}
          label="Date"
          value={view.date}
          check={(text) => (/^\d{4}-\d\d-\d\d$/.test(text) ? null : 'Write it as 2026-05-17.')}
          save={(date) => change({ date })}
        />
        <SavedField
          name={`${id}:setup`}
          label="Setup it belongs to"
          value={view.setup}
          help="Its name as on the test day: the setup there then leads here."
          save={(setup) => change({ setup })}
        />
      </div>
      <RiddenOn setup={view.setup} />
    </section>
  );
}

/** What stands with every result: warnings, and cautions that never go away. */
export function Remarks({
  warnings,
  cautions,
}: {
  warnings: Parameters<typeof ProblemList>[0]['problems'];
  cautions: readonly string[];
}) {
  return (
    <>
      {warnings.length > 0 && (
        <section class="block">
          <h2>To know about this result</h2>
          <ProblemList problems={warnings} label="Warnings" />
        </section>
      )}
      <Cautions cautions={cautions} />
    </>
  );
}

export function Cautions({ cautions }: { cautions: readonly string[] }) {
  if (cautions.length === 0) return null;
  return (
    <section class="block cautions">
      <h2>Cautions</h2>
      <ul>
        {cautions.map((caution) => (
          <li key={caution}>{caution}</li>
        ))}
      </ul>
    </section>
  );
}

/** Why there is no result; mistakes with a line are said beside the text. */
export function NoResult({ work, waiting }: { work: ItemWork; waiting: string }) {
  const problems = work.view?.problems ?? [];
  return (
    <section class="block">
      <h2 class="sentence">No result yet.</h2>
      <p>{waiting}</p>
      <ProblemList problems={problems} label="Why there is no result" />
    </section>
  );
}
