import { useEffect, useRef, useState } from 'preact/hooks';
import { fixed, thin } from '../../figures/index.ts';
import { levelsOf } from './record-wav.ts';

/** Hands blocks of samples to whoever shows their level, without drawing anything else anew. */
export class LevelFeed {
  private readonly listeners = new Set<(samples: Float32Array) => void>();

  push(samples: Float32Array): void {
    for (const listener of this.listeners) listener(samples);
  }

  listen(listener: (samples: Float32Array) => void): () => void {
    this.listeners.add(listener);
    return () => void this.listeners.delete(listener);
  }
}

const lowestDb = -72;
/** Nearer to full scale than this the microphone runs out of range. */
const tooLoudDb = -0.3;
const heldMs = 1500;
const drawnEveryMs = 80;

/** How loud it is now: a bar, the loudest of the last second or so, and a word where it is too loud. */
export function LevelMeter({ feed }: { feed: LevelFeed }) {
  const [shown, setShown] = useState({ rmsDb: lowestDb, peakDb: lowestDb, tooLoud: false });
  const now = useRef({ rmsDb: lowestDb, peakDb: lowestDb, heldAt: 0, loudAt: -heldMs, drawn: 0 });
  useEffect(
    () =>
      feed.listen((samples) => {
        const { peakDb, rmsDb } = levelsOf(samples);
        const t = performance.now();
        const state = now.current;
        if (peakDb >= state.peakDb || t - state.heldAt > heldMs) {
          state.peakDb = peakDb;
          state.heldAt = t;
        }
        if (peakDb > tooLoudDb) state.loudAt = t;
        state.rmsDb = Math.max(rmsDb, state.rmsDb - 2);
        if (t - state.drawn < drawnEveryMs) return;
        state.drawn = t;
        setShown({ ...state, tooLoud: t - state.loudAt < heldMs });
      }),
    [feed],
  );
  const share = (db: number) => Math.max(0, Math.min(1, 1 - db / lowestDb));
  const { rmsDb, peakDb, tooLoud } = shown;
  return (
    <div class="level">
      <div
        class={`level-bar ${tooLoud ? 'level-loud' : ''}`}
        role="meter"
        aria-label="Level"
        aria-valuemin={lowestDb}
        aria-valuemax={0}
        aria-valuenow={Math.round(Math.max(lowestDb, Math.min(0, rmsDb)))}
        aria-valuetext={`${Math.round(-rmsDb)} decibels below full scale`}
      >
        <span class="level-now" style={{ width: `${100 * share(rmsDb)}%` }} />
        <span class="level-peak" style={{ left: `${100 * share(peakDb)}%` }} />
      </div>
      <span class="level-words">
        {tooLoud ? 'too loud' : `${fixed(Math.max(lowestDb, peakDb), 0)}${thin}dB`}
      </span>
    </div>
  );
}
