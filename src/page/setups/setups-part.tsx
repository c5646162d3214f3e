import { runsWaiting, saidElsewhere } from '../day/sheet-form.ts';
import type { DayPart } from '../day/day-part.ts';
import { ProblemList } from '../parts/problems.tsx';
import { dayHref } from '../route.ts';
import { Constants } from './constants.tsx';
import { SetupList } from './setup-list.tsx';
import { SheetText } from './sheet-text.tsx';

export function SetupsPart({ id, work, form }: DayPart) {
  const { view } = work;
  if (!view) return null;
  const waiting = runsWaiting(form);
  const toMend = view.sheetProblems.filter((problem) => !saidElsewhere(problem.place?.field, form));
  return (
    <>
      {toMend.length > 0 && (
        <section class="block">
          <h2>To mend in the sheet</h2>
          <ProblemList problems={toMend} />
        </section>
      )}
      {waiting > 0 && (
        <p>
          <a href={dayHref(id, 'runs')} class="button">
            {waiting === 1 ? 'One run waits' : `${waiting} runs wait`} for a setup
          </a>
        </p>
      )}
      {form && <SetupList id={id} work={work} form={form} />}
      {form && <Constants id={id} work={work} form={form} />}
      <SheetText id={id} work={work} />
    </>
  );
}
