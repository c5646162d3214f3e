import type { SoundView } from '../../application/contract.ts';
import { thin } from '../../figures/index.ts';
import { ItemHead } from '../parts/item-head.tsx';
import { ProblemList } from '../parts/problems.tsx';
import { listenHref } from '../route.ts';
import { AboutSound } from './about-sound.tsx';
import { NoisePart } from './noise-part.tsx';
import { PlucksPart } from './pluck-part.tsx';
import { useSound } from './use-sound.ts';
import type { SoundWork } from './use-sound.ts';
import { soundKinds } from './words.ts';

export function SoundScreen({ id }: { id: string }) {
  const work = useSound(id);
  const { view, problems } = work;
  return (
    <div class="bench">
      <ItemHead
        list="Listen"
        href={listenHref()}
        shown={view}
        kind={view ? soundKinds[view.kind] : ''}
        missing={problems.length > 0 ? 'This sound cannot be shown' : null}
        saving={work.saving}
      />
      <main id="main" tabIndex={-1} class={view ? 'listen-main' : 'narrow'}>
        <ProblemList problems={view ? [] : problems} />
        {view && <Analysis item={view} work={work} />}
        {view?.kind === 'noise' && <NoisePart item={view} work={work} />}
        {view?.kind === 'plucks' && (
          <>
            <PlucksPart item={view} work={work} />
            <AboutSound item={view} work={work} />
          </>
        )}
      </main>
    </div>
  );
}

/** How far the listening is, or why it did not come to its end. */
function Analysis({ item, work }: { item: SoundView; work: SoundWork }) {
  const { state, problems } = item;
  const { progress } = work;
  const underWay = state === 'waiting' || state === 'analysing';
  if (state === 'ready') return null;
  const fraction = progress?.fraction ?? 0;
  return (
    <section class="analysis" aria-label="Listening">
      {/* Said once, not at every percent; the bar itself can be asked. */}
      <p role="status">
        <b>
          {state === 'waiting'
            ? 'Waits for its turn to be listened to.'
            : state === 'analysing'
              ? 'Being listened to.'
              : state === 'stopped'
                ? 'Listening was stopped.'
                : 'This file cannot be listened to.'}
        </b>
      </p>
      {underWay && (
        <>
          <div class="analysis-bar">
            <progress max={1} value={fraction} aria-label="Listened to" />
            <span aria-hidden="true">
              {Math.floor(100 * fraction)}
              {thin}%
            </span>
          </div>
          <p class="legend">
            An hour takes some twenty seconds. You may leave this page; it goes on.
          </p>
          <div class="actions">
            <button type="button" class="button" onClick={() => void work.stop()}>
              Stop listening
            </button>
          </div>
        </>
      )}
      {state === 'stopped' && (
        <div class="actions">
          <button type="button" class="button primary" onClick={() => void work.analyse()}>
            Listen to it
          </button>
        </div>
      )}
      {state === 'refused' && <ProblemList problems={problems} label="Why there is no result" />}
    </section>
  );
}
