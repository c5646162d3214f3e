import { dayHref } from '../route.ts';

/** Opens the laps of a run if they are folded away, and moves to the switch of one of them. */
export function goToLap(run: number, lap: number): boolean {
  const target = document.getElementById(`use-${run}-${lap}`);
  if (!target || target.closest('.pane')?.checkVisibility() === false) return false;
  target.closest('details')?.setAttribute('open', '');
  target.scrollIntoView({ block: 'center' });
  target.focus({ preventScroll: true });
  return true;
}

/** The same from another part of the day: goes to the runs first, and there as soon as they are drawn. */
export function goToLapFrom(id: string, run: number, lap: number): void {
  if (goToLap(run, lap)) return;
  window.location.hash = dayHref(id, 'runs');
  let tries = 0;
  const timer = window.setInterval(() => {
    if (goToLap(run, lap) || ++tries > 20) window.clearInterval(timer);
  }, 50);
}
