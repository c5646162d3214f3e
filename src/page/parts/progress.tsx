import type { DayWork } from '../day/use-day.ts';

/** How far the reduction is; the live region is always there so that a change is spoken. */
export function Progress({ work }: { work: DayWork }) {
  const { view, progress, saving } = work;
  const reducing = view?.reducing ?? false;
  const percent = Math.round((progress?.fraction ?? 0) * 100);
  const text = reducing
    ? `Reducing the day: ${progress?.stage ?? 'starting'}`
    : saving
      ? 'Saving'
      : '';
  return (
    <div class="progress-place" data-active={text !== ''}>
      <p role="status" class="progress-text">
        {text}
      </p>
      {reducing && (
        <progress max={100} value={percent} aria-label="Share of the reduction done">
          {percent} %
        </progress>
      )}
    </div>
  );
}
