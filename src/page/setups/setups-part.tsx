import type { SheetForm } from '../day/sheet-form.ts';
import type { DayWork } from '../day/use-day.ts';
import { ProblemList } from '../parts/problems.tsx';
import { Constants } from './constants.tsx';
import { SetupList } from './setup-list.tsx';
import { SheetText } from './sheet-text.tsx';

export function SetupsPart({
  id,
  work,
  form,
}: {
  id: string;
  work: DayWork;
  form: SheetForm | null;
}) {
  const { view } = work;
  if (!view) return null;
  return (
    <>
      {view.sheetProblems.length > 0 && (
        <section class="block">
          <h2>To mend in the sheet</h2>
          <ProblemList problems={view.sheetProblems} />
        </section>
      )}
      {form && <SetupList id={id} work={work} form={form} />}
      {form && <Constants id={id} work={work} form={form} />}
      <SheetText id={id} work={work} />
    </>
  );
}
