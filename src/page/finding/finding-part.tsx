import { useState } from 'preact/hooks';
import { drawFigure, intervalFigure, printPalette, thin } from '../../figures/index.ts';
import type { FigureStyle } from '../../figures/index.ts';
import type { FieldDragFinding, Problem } from '../../application/contract.ts';
import { keepDay, problemsOf } from '../api.ts';
import { runsWaiting, saidElsewhere } from '../day/sheet-form.ts';
import type { DayPart } from '../day/day-part.ts';
import type { DayWork } from '../day/use-day.ts';
import { Drawing } from '../parts/drawing.tsx';
import { useNotices } from '../parts/notices.tsx';
import { ProblemList } from '../parts/problems.tsx';
import { goToLapFrom } from '../runs/go-to-lap.ts';
import { dayHref } from '../route.ts';
import { Progress } from '../parts/progress.tsx';
import { FindingTable } from './finding-table.tsx';
import { FromTheBench } from './from-the-bench.tsx';
import { findingSentences, findingText, setupName, smallestVisible } from './words.ts';

/** Warnings beyond these fold away: the first are the ones that matter most. */
const shownAtOnce = 4;

export function FindingPart({ id, work, form }: DayPart) {
  const { view, finding, stale } = work;
  const goTo = (run: number, lap: number) => goToLapFrom(id, run, lap);
  return (
    <>
      <Progress work={work} />
      {finding ? (
        <div class={stale ? 'stale' : ''} aria-busy={stale}>
          <FindingShown finding={finding} />
        </div>
      ) : (
        view && !view.reducing && <NoFinding id={id} work={work} form={form} />
      )}
      {finding && (
        <>
          <Actions id={id} work={work} finding={finding} />
          <FromTheBench id={id} changedAt={view?.changedAt} finding={finding} />
          {finding.warnings.length > 0 && (
            <section class="block">
              <h2>Worth knowing</h2>
              <ProblemList problems={finding.warnings.slice(0, shownAtOnce)} goTo={goTo} />
              {finding.warnings.length > shownAtOnce && (
                <details>
                  <summary>{finding.warnings.length - shownAtOnce} more</summary>
                  <ProblemList problems={finding.warnings.slice(shownAtOnce)} goTo={goTo} />
                </details>
              )}
            </section>
          )}
          <section class="block cautions">
            <h2>Cautions</h2>
            <ul>
              {finding.cautions.map((caution) => (
                <li key={caution}>{caution}</li>
              ))}
            </ul>
          </section>
        </>
      )}
    </>
  );
}

const copyRefused: Problem = {
  code: 'usage',
  message: 'The browser did not allow to copy.',
  remedy: 'Mark the text and copy it by hand.',
};

const describe = (finding: FieldDragFinding, note?: string) => (style: FigureStyle) =>
  intervalFigure(
    {
      note,
      controlName: setupName(finding, finding.control),
      speedKmh: finding.reference.speedKmh,
      rows: finding.differences.map((d) => ({ ...d, name: setupName(finding, d.setup) })),
    },
    style,
  );

function FindingShown({ finding }: { finding: FieldDragFinding }) {
  const control = setupName(finding, finding.control);
  const visible = smallestVisible(finding);
  return (
    <>
      <div class="sentence">
        {findingSentences(finding).map((sentence) => (
          <p key={sentence}>{sentence}</p>
        ))}
      </div>
      <figure class="block">
        <figcaption>
          <h2>Difference of CdA to {control}</h2>
        </figcaption>
        <Drawing describe={describe(finding)} inputs={[finding]} />
        <p class="legend">
          Thick bar: 95{thin}% interval of that difference. Thin line: the interval that holds for
          all differences at once. {visible && <>Pale band: what this day was likely to miss.</>} A
          filled mark is separable from control, an open one is not.
        </p>
      </figure>
      <FindingTable finding={finding} />
    </>
  );
}

function Actions({ id, work, finding }: { id: string; work: DayWork; finding: FieldDragFinding }) {
  const { say, complain } = useNotices();
  const [busy, setBusy] = useState(false);
  const kept = work.view?.state === 'kept';
  const keep = async () => {
    setBusy(true);
    try {
      work.accept(await keepDay(id));
      say('Kept in the library with its recordings and sheet.');
    } catch (error) {
      complain(problemsOf(error));
    }
    setBusy(false);
  };
  const savePicture = () => {
    const note = `${finding.title}, ${finding.date}${finding.invented ? ', invented data' : ''}`;
    const figure = describe(finding, note)({ width: 960, fontSize: 20, palette: printPalette });
    const svg = drawFigure(figure, document).outerHTML;
    const link = document.createElement('a');
    link.href = URL.createObjectURL(new Blob([svg], { type: 'image/svg+xml' }));
    link.download = `${finding.title.replace(/[^\p{L}\p{N}]+/gu, '-')}-differences.svg`;
    link.click();
    window.setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  };
  return (
    <div class="actions">
      <button
        type="button"
        class="button primary"
        disabled={kept || busy || work.stale}
        onClick={() => void keep()}
      >
        {kept ? 'Kept in the library' : busy ? 'Keeping …' : 'Keep this finding'}
      </button>
      {navigator.clipboard && (
        <button
          type="button"
          class="button"
          onClick={() =>
            void navigator.clipboard.writeText(findingText(finding)).then(
              () => say('Copied: the finding and its table as text.'),
              () => complain([copyRefused]),
            )
          }
        >
          Copy as text
        </button>
      )}
      <button type="button" class="button" onClick={savePicture}>
        Save the picture
      </button>
      <a class="button" href={dayHref(id, 'checks')}>
        Check the residuals
      </a>
    </div>
  );
}

/** What stands between this day and a finding, and where to mend it. */
function NoFinding({ id, work, form }: DayPart) {
  const { view } = work;
  if (!view) return null;
  const empty = view.recordings.length === 0;
  const waiting = runsWaiting(form);
  return (
    <section class="block">
      <h2 class="sentence">{empty ? 'No recordings yet.' : 'No finding yet.'}</h2>
      {empty && (
        <p>
          Add the recordings of the day, say which setup was ridden in each, and the comparison
          appears here.
        </p>
      )}
      {!empty && waiting > 0 && (
        <p>
          {waiting} {waiting > 1 ? 'runs wait' : 'run waits'} for a setup.
        </p>
      )}
      <div class="actions">
        <a class="button primary" href={dayHref(id, 'runs')}>
          {empty ? 'Add recordings' : 'Go to the runs'}
        </a>
        <a class="button" href={dayHref(id, 'setups')}>
          Setups and constants
        </a>
      </div>
      {!empty && (
        <ProblemList
          problems={[...view.sheetProblems, ...view.findingProblems].filter(
            (problem, i, all) =>
              !saidElsewhere(problem.place?.field, form) &&
              all.findIndex((other) => other.message === problem.message) === i,
          )}
          label="Why there is no finding"
        />
      )}
    </section>
  );
}
