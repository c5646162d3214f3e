import { useEffect } from 'preact/hooks';
import { ProblemList } from '../parts/problems.tsx';
import { Progress, SpokenProgress } from '../parts/progress.tsx';
import { dayHref } from '../route.ts';
import type { DayPart } from '../route.ts';
import { FindingPart } from '../finding/finding-part.tsx';
import { RunsPart } from '../runs/runs-part.tsx';
import { SetupsPart } from '../setups/setups-part.tsx';
import { ChecksPart } from '../checks/checks-part.tsx';
import { Verdicts } from '../finding/verdicts.tsx';
import { readForm } from './sheet-form.ts';
import { useDay } from './use-day.ts';

const partNames: Record<DayPart, string> = {
  finding: 'Finding',
  runs: 'Runs and laps',
  setups: 'Setups',
  checks: 'Checks',
};

export function DayScreen({ id, part }: { id: string; part: DayPart }) {
  const work = useDay(id);
  const { view, finding, problems } = work;
  const form = view ? readForm(view.sheetData) : null;
  const title = form?.title ?? finding?.title ?? 'Day';
  useEffect(() => {
    document.title = view ? `${title} · Lapbench` : 'Lapbench';
  }, [title, view]);

  if (!view) {
    return (
      <div class="day">
        <header class="day-head">
          <a class="button back" href="#/">
            Days
          </a>
        </header>
        <main id="main" tabIndex={-1} class="narrow">
          <h1>{problems.length > 0 ? 'This day cannot be shown' : 'Opening the day …'}</h1>
          <ProblemList problems={problems} />
        </main>
      </div>
    );
  }

  const date = form?.date ?? finding?.date ?? '';
  const invented = form?.invented ?? finding?.invented ?? false;
  // On a wide screen the finding is always there; what stands beside it is the chosen part, or the runs.
  const beside = part === 'finding' ? 'runs' : part;
  return (
    <div class={`day showing-${part}`}>
      <header class="day-head">
        <a class="button back" href="#/">
          Days
        </a>
        <div class="day-name">
          <h1>{title}</h1>
          <p>
            <time dateTime={date}>{date}</time>
            {invented && <span class="tag">Invented data</span>}
            <span class="tag">{view.state === 'kept' ? 'Kept' : 'Draft'}</span>
          </p>
        </div>
      </header>
      <nav class="day-nav" aria-label="Parts of the day">
        {(Object.keys(partNames) as DayPart[]).map((name) => (
          <a
            key={name}
            class={`nav-${name}`}
            href={dayHref(id, name)}
            aria-current={part === name ? 'page' : undefined}
            data-beside={beside === name ? 'true' : undefined}
          >
            {partNames[name]}
          </a>
        ))}
      </nav>
      <SpokenProgress work={work} />
      <main id="main" tabIndex={-1} class="day-main">
        <section class="pane pane-finding" aria-label="Finding">
          <FindingPart id={id} work={work} form={form} />
        </section>
        <section class="pane pane-beside" aria-label={partNames[beside]}>
          <a class="strip" href={dayHref(id)}>
            <Verdicts work={work} />
            <Progress work={work} />
          </a>
          {beside === 'runs' && <RunsPart id={id} work={work} form={form} />}
          {beside === 'setups' && <SetupsPart id={id} work={work} form={form} />}
          {beside === 'checks' && <ChecksPart finding={finding} stale={work.stale} />}
        </section>
      </main>
    </div>
  );
}
