import { useCallback, useEffect, useRef, useState } from 'preact/hooks';
import { piecePath } from '../api.ts';
import { useNotices } from '../parts/notices.tsx';

/** Longer pieces are not cut by the server. */
const longestS = 60;

export interface Player {
  /** Where the sound is now, s from its start; null: silent. */
  atS: number | null;
  /** A piece is fetched or playing. */
  on: boolean;
  play: (fromS: number, toS: number) => void;
  stop: () => void;
}

/** Plays pieces of a sound, one at a time. */
export function usePlayer(id: string): Player {
  const { complain } = useNotices();
  const [atS, setAtS] = useState<number | null>(null);
  const [on, setOn] = useState(false);
  const audio = useRef<HTMLAudioElement | null>(null);
  const frame = useRef(0);

  const stop = useCallback(() => {
    window.cancelAnimationFrame(frame.current);
    const own = audio.current;
    audio.current = null;
    if (own) {
      own.onended = own.onerror = null;
      own.pause();
      own.removeAttribute('src');
      own.load();
    }
    setOn(false);
    setAtS(null);
  }, []);

  const play = useCallback(
    (fromS: number, toS: number) => {
      stop();
      const own = new Audio(piecePath(id, fromS, Math.min(toS, fromS + longestS)));
      audio.current = own;
      setOn(true);
      const follow = () => {
        if (audio.current !== own) return;
        setAtS(fromS + own.currentTime);
        frame.current = window.requestAnimationFrame(follow);
      };
      own.onended = stop;
      const failed = () => {
        if (audio.current !== own) return;
        stop();
        complain([
          {
            code: 'internal',
            message: 'This piece could not be played.',
            remedy: 'Try once more; the sound itself is safe.',
          },
        ]);
      };
      own.onerror = failed;
      own.play().then(follow, failed);
    },
    [id, stop, complain],
  );

  useEffect(() => stop, [stop]);
  return { atS, on, play, stop };
}
