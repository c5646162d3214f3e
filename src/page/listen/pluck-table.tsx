import { useEffect, useRef, useState } from 'preact/hooks';
import type { HeardPluck, PluckSoundView } from '../../application/contract.ts';
import { fixed, thin } from '../../figures/index.ts';
import { piecePath } from '../api.ts';
import { useNotices } from '../parts/notices.tsx';
import { readNumber } from '../parts/typed-number.ts';
import { inTurn, withCounted, withSpoke } from './pluck-order.ts';
import { rings } from './pluck-words.ts';
import type { SoundWork } from './use-sound.ts';
import { begun, hzWords } from './words.ts';

/** Every stroke that was heard, in its order: on which spoke it is laid, and whether it counts. */
export function PluckTable({
  sound,
  work,
  setPlaying,
}: {
  sound: PluckSoundView;
  work: SoundWork;
  setPlaying: (place: number | null) => void;
}) {
  const { id, options, finding } = sound;
  const heard = finding?.heard ?? [];
  const { say } = useNotices();
  const player = usePlayer(setPlaying);
  const withTension = heard.some((one) => one.tensionN !== null);
  const lost = heard.some((one) => one.ringing >= 0.5 && one.spoke === null && !left(options, one));
  const set = (order: { spokes: number[] | null; leaveOut: number[] }, told: string) => {
    const { spokes, leaveOut } = options;
    void work.change({ options: order }).then((done) => {
      if (!done) return;
      say(told, {
        label: 'Undo',
        run: () => void work.change({ options: { spokes, leaveOut } }),
      });
    });
  };
  return (
    <>
      {lost && (
        <div class="actions">
          <button
            type="button"
            class="button"
            onClick={() => set(inTurn(heard, options), 'The plucks are numbered in turn.')}
          >
            Number them 1, 2, 3 … in the order heard
          </button>
        </div>
      )}
      <div class="pluck-rows">
        <table class="pluck-table">
          <caption class="unseen">Strokes in the order heard</caption>
          <thead>
            <tr>
              <th scope="col">Spoke</th>
              <th scope="col">Pitch</th>
              <th scope="col">Ring</th>
              {withTension && <th scope="col">Tension</th>}
              <th scope="col">Counts</th>
              <th scope="col">
                <span class="unseen">Play</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {heard.map((one, i) => (
              <tr key={one.pluck} class={one.used ? '' : 'pluck-out'}>
                <th scope="row">
                  <SpokeField
                    pluck={one}
                    save={(spoke) =>
                      set(
                        withSpoke(heard, options, one.pluck, spoke),
                        `Stroke ${one.pluck} is spoke ${spoke}.`,
                      )
                    }
                  />
                </th>
                <td class="pluck-pitch">
                  {one.hz === null || one.ci95 === null ? 'no tone' : hzWords(one.hz, one.ci95)}
                  {whyOf(one) && <span class="under pluck-why">{whyOf(one)}</span>}
                </td>
                <td class="pluck-q">
                  {one.q === null ? '–' : `Q${thin}${fixed(one.q, 0)}`}
                  {one.hz !== null && <span class="under">{rings(one.q)}</span>}
                </td>
                {withTension && (
                  <td class="pluck-n">
                    {one.tensionN === null ? '–' : `${fixed(one.tensionN, 0)}${thin}N`}
                    {one.tensionCi95 && (
                      <span class="under">
                        {fixed(one.tensionCi95[0], 0)} to {fixed(one.tensionCi95[1], 0)}
                      </span>
                    )}
                  </td>
                )}
                <td class="pluck-counts">
                  {one.ringing >= 0.5 ? (
                    <button
                      type="button"
                      class="switch"
                      role="switch"
                      aria-checked={!left(options, one)}
                      aria-label={`Stroke ${one.pluck} counts`}
                      onClick={() =>
                        set(
                          withCounted(heard, options, one.pluck, left(options, one)),
                          left(options, one)
                            ? `Stroke ${one.pluck} counts again.`
                            : `Stroke ${one.pluck} is left out.`,
                        )
                      }
                    >
                      <span class="switch-box" />
                      <span class="pluck-switch-word">
                        {left(options, one) ? 'left out' : 'counts'}
                      </span>
                    </button>
                  ) : (
                    <b class="pluck-mute">does not ring</b>
                  )}
                </td>
                <td class="pluck-play">
                  <button
                    type="button"
                    class="button"
                    aria-label={`Play stroke ${one.pluck}`}
                    onClick={() =>
                      player(i, piecePath(id, Math.max(0, one.atS - 0.15), one.endS + 0.1))
                    }
                  >
                    Play
                  </button>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </>
  );
}

const left = ({ leaveOut }: PluckSoundView['options'], { pluck }: HeardPluck): boolean =>
  leaveOut.includes(pluck);

/** Why it does not count, or what speaks against it although it does. */
function whyOf(one: HeardPluck): string | null {
  const why = one.reason === 'Left out by hand.' ? null : (one.reason ?? one.doubts[0] ?? null);
  return why && begun(why);
}

/** The number of the spoke, saved when it is left or Enter is pressed. */
function SpokeField({ pluck, save }: { pluck: HeardPluck; save: (spoke: number) => void }) {
  const [typed, setTyped] = useState<string | null>(null);
  const [wrong, setWrong] = useState(false);
  if (pluck.ringing < 0.5) return <span class="pluck-none">–</span>;
  const commit = () => {
    if (typed === null || typed.trim() === String(pluck.spoke ?? '')) return setTyped(null);
    const spoke = readNumber(typed.trim());
    const fits = Number.isInteger(spoke) && spoke >= 1 && spoke <= 200;
    setWrong(!fits);
    if (!fits) return;
    setTyped(null);
    save(spoke);
  };
  return (
    <input
      class="number pluck-spoke-field"
      aria-label={`Spoke of stroke ${pluck.pluck}`}
      aria-invalid={wrong}
      inputMode="numeric"
      autocomplete="off"
      value={typed ?? String(pluck.spoke ?? '')}
      onInput={(event) => setTyped(event.currentTarget.value)}
      onBlur={commit}
      onKeyDown={(event) => {
        if (event.key === 'Enter') commit();
      }}
    />
  );
}

/** Plays one piece at a time. */
function usePlayer(setPlaying: (place: number | null) => void) {
  const audio = useRef<HTMLAudioElement | null>(null);
  const { complain } = useNotices();
  useEffect(() => () => audio.current?.pause(), []);
  return (place: number, path: string) => {
    audio.current?.pause();
    const own = new Audio(path);
    audio.current = own;
    own.onended = () => audio.current === own && setPlaying(null);
    setPlaying(place);
    own.play().catch((error: unknown) => {
      // Another piece was begun before this one sounded.
      if (audio.current !== own || (error as Error).name === 'AbortError') return;
      setPlaying(null);
      complain([
        {
          code: 'internal',
          message: 'The piece could not be played.',
          remedy: 'Try once more; the server may have been away.',
        },
      ]);
    });
  };
}
