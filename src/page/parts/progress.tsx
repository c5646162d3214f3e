import type { DayWork } from '../day/use-day.ts';

/** What is under way, in words; empty when nothing is. */
export function progressText({ view, progress, saving }: DayWork): string {
  if (view?.reducing) return `Reducing the day: ${progress?.stage ?? 'starting'}`;
  return saving ? 'Saving' : '';
}

/** How far the reduction is. Its place is kept free, so that nothing moves when it comes and goes. */
export function Progress({ work }: { work: DayWork }) {
  const text = progressText(work);
  const percent = Math.round((work.progress?.fraction ?? 0) * 100);
  return (
    <div class="progress-place" aria-hidden="true">
      <span>{text}</span>
      {work.view?.reducing && <progress max={100} value={percent} />}
    </div>
  );
}

/** The same for screen readers, once in the page and always there, so that a change is spoken. */
export function SpokenProgress({ work }: { work: DayWork }) {
  return (
    <p role="status" class="unseen">
      {progressText(work)}
    </p>
  );
}
