import { useEffect, useRef, useState } from 'preact/hooks';
import { readDetail } from '../api.ts';
import { levelsOf } from './picture-layers.ts';
import type { Levels } from './picture-layers.ts';
import type { TimeView } from './picture-view.ts';

const restMs = 160;
const longestS = 60;
const mostKept = 6;

/**
 * Finer pictures of what is in view once the view rests and the overview is too coarse for it. Those fetched
 * before are kept, so that a late answer only adds and never takes away.
 */
export function useDetails(
  id: string,
  overview: Levels | null,
  view: TimeView,
  durationS: number,
  widthPx: number,
): { details: Levels[]; fetching: boolean } {
  const [details, setDetails] = useState<Levels[]>([]);
  const [fetching, setFetching] = useState(false);
  const asked = useRef(0);
  const { fromS, toS } = view;
  useEffect(() => {
    if (overview === null || widthPx < 50) return;
    const spanS = toS - fromS;
    const pxS = spanS / widthPx;
    const coarse = overview.columnS > 1.5 * pxS;
    // Good enough: no coarser than twice what a view of this length would get.
    const covered = details.some(
      (one) =>
        one.fromS <= fromS + 0.01 &&
        one.fromS + one.columns * one.columnS >= toS - 0.01 &&
        one.columns * one.columnS <= 3 * spanS,
    );
    if (!coarse || covered || spanS > longestS) return;
    const timer = window.setTimeout(() => {
      const room = Math.min(0.3 * spanS, (longestS - spanS) / 2);
      const from = Math.max(0, Math.floor((fromS - room) * 100) / 100);
      const to = Math.min(durationS, from + longestS, Math.ceil((toS + room) * 100) / 100);
      const number = ++asked.current;
      setFetching(true);
      readDetail(id, from, to)
        .then(
          (picture) => setDetails((now) => [...now.slice(1 - mostKept), levelsOf(picture)]),
          // The overview stays in its place; the next movement asks again.
          () => undefined,
        )
        .finally(() => {
          if (number === asked.current) setFetching(false);
        });
    }, restMs);
    return () => window.clearTimeout(timer);
  }, [id, overview, fromS, toS, durationS, widthPx, details]);
  return { details, fetching };
}
