import { useEffect } from 'preact/hooks';
import { ProblemList } from '../parts/problems.tsx';
import { benchHref } from '../route.ts';
import { StiffnessPart } from './stiffness-part.tsx';
import { TensionPart } from './tension-part.tsx';
import { useItem } from './use-item.ts';
import type { ItemWork } from './use-item.ts';
import { WheelPart } from './wheel-part.tsx';
import { kindNames } from './words.ts';

export function ItemScreen({ id }: { id: string }) {
  const work = useItem(id);
  const { view, problems } = work;
  const title = view?.title ?? 'Bench';
  useEffect(() => {
    document.title = `${title} · Lapbench`;
  }, [title]);
  return (
    <div class="bench">
      <header class="day-head bench-head">
        <a class="button back" href={benchHref()}>
          Bench
        </a>
        <div class="day-name">
          <h1>
            {view ? view.title : problems.length > 0 ? 'This item cannot be shown' : 'Opening …'}
          </h1>
          {view && (
            <p>
              <time dateTime={view.date}>{view.date}</time>
              <span class="tag">{kindNames[view.kind]}</span>
              {view.setup && <span class="tag">Setup {view.setup}</span>}
            </p>
          )}
        </div>
        {view && (
          <p role="status" class={`save-state ${work.unsaved && !work.saving ? 'save-waits' : ''}`}>
            {work.saving ? 'Saving …' : work.unsaved ? 'Not saved' : 'Saved'}
          </p>
        )}
      </header>
      <main id="main" tabIndex={-1} class={view ? `bench-main bench-${view.kind}` : 'narrow'}>
        <ProblemList problems={view ? [] : problems} />
        <Unsaved work={work} />
        {view?.kind === 'stiffness' && <StiffnessPart item={view} work={work} />}
        {view?.kind === 'tension' && <TensionPart item={view} work={work} />}
        {view?.kind === 'wheel' && <WheelPart item={view} work={work} />}
      </main>
    </div>
  );
}

/** Said while the server does not have what was entered; nothing is lost meanwhile. */
function Unsaved({ work }: { work: ItemWork }) {
  if (!work.view || !work.unsaved || work.saving) return null;
  return (
    <section class="unsaved" aria-label="Not saved yet">
      <p>
        Kept in this browser, not saved yet: Lapbench does not take it at the moment. Go on; it is
        tried again until it does.
      </p>
      <div class="actions">
        <button type="button" class="button" onClick={() => void work.retry()}>
          Save now
        </button>
        <button type="button" class="button plain" onClick={work.giveUp}>
          Give it up for what is saved
        </button>
      </div>
    </section>
  );
}
