import { ItemHead } from '../parts/item-head.tsx';
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
  return (
    <div class="bench">
      <ItemHead
        list="Bench"
        href={benchHref()}
        shown={view}
        kind={view ? kindNames[view.kind] : ''}
        missing={problems.length > 0 ? 'This item cannot be shown' : null}
        saving={work.saving}
        unsaved={work.unsaved}
      />
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
