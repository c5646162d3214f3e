/** What part of a sound is in view, and how it moves. Pure. */

export interface TimeView {
  fromS: number;
  toS: number;
}

/** Closer than this nothing more is to be seen. */
const leastS = 0.5;

/** Inside the sound, as long as before where there is room. */
export function inside({ fromS, toS }: TimeView, durationS: number): TimeView {
  const spanS = Math.min(durationS, Math.max(Math.min(leastS, durationS), toS - fromS));
  const from = Math.min(Math.max(0, fromS), durationS - spanS);
  return { fromS: from, toS: from + spanS };
}

/** Moved by a share of what is in view; positive: to later. */
export function moved(view: TimeView, share: number, durationS: number): TimeView {
  const byS = (view.toS - view.fromS) * share;
  return inside({ fromS: view.fromS + byS, toS: view.toS + byS }, durationS);
}

/** Stretched by `factor` (above 1: closer) about a moment, which stays where it is. */
export function zoomed(
  view: TimeView,
  factor: number,
  aboutS: number,
  durationS: number,
): TimeView {
  const spanS = view.toS - view.fromS;
  const span = Math.min(durationS, Math.max(Math.min(leastS, durationS), spanS / factor));
  const share = (aboutS - view.fromS) / spanS;
  const fromS = aboutS - share * span;
  return inside({ fromS, toS: fromS + span }, durationS);
}

/** So that a stretch is in view: as it is when it is already, else the stretch with room about it. */
export function showing(view: TimeView, fromS: number, toS: number, durationS: number): TimeView {
  const spanS = view.toS - view.fromS;
  const seen = fromS < view.toS && toS > view.fromS;
  const wide = toS - fromS > spanS / 40;
  if (seen && wide) return view;
  const room = Math.max(2, (toS - fromS) * 0.6);
  return inside({ fromS: fromS - room, toS: toS + room }, durationS);
}
