import { useCallback, useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { Problem, SoundChange, SoundEvents, SoundView } from '../../application/contract.ts';
import {
  analyseSound,
  changeSound,
  problemsOf,
  readSound,
  RefusedError,
  soundEventsPath,
  stopAnalysis,
} from '../api.ts';
import { useNotices } from '../parts/notices.tsx';

export interface SoundWork {
  view: SoundView | null;
  /** Why the sound itself cannot be shown. */
  problems: Problem[];
  /** Of the analysis under way. */
  progress: SoundEvents['progress'] | null;
  /** Changes on their way to the server. */
  saving: boolean;
  change: (change: SoundChange) => Promise<boolean>;
  /** Begins the analysis again after it was stopped. */
  analyse: () => Promise<boolean>;
  stop: () => Promise<boolean>;
}

const pollMs = 1500;

/** One sound, kept in step with the server: events where they come, asking again where they do not. */
export function useSound(id: string): SoundWork {
  const { complain } = useNotices();
  const [view, setView] = useState<SoundView | null>(null);
  const [problems, setProblems] = useState<Problem[]>([]);
  const [progress, setProgress] = useState<SoundEvents['progress'] | null>(null);
  const [waiting, setWaiting] = useState(0);
  const queue = useRef<Promise<unknown>>(Promise.resolve());
  const shown = useRef({ changedAt: '', asked: 0 });
  const asked = useRef(0);

  /**
   * Answers overtake each other: one that is older than what is shown must not undo it. The library gives every
   * change a later moment; between equal moments (only the analysis went on) the later question counts.
   */
  const take = useCallback(async (ask: () => Promise<SoundView>) => {
    const number = ++asked.current;
    const next = await ask();
    const { changedAt, asked: before } = shown.current;
    if (next.changedAt < changedAt) return;
    if (next.changedAt === changedAt && number < before) return;
    shown.current = { changedAt: next.changedAt, asked: number };
    setView(next);
    setProgress(next.progress);
    setProblems([]);
  }, []);

  const reload = useCallback(async () => {
    try {
      await take(() => readSound(id));
    } catch (error) {
      const away = error instanceof RefusedError && error.status === 0;
      if (away && shown.current.changedAt !== '') complain(problemsOf(error));
      else setProblems(problemsOf(error));
    }
  }, [id, take, complain]);

  useEffect(() => {
    void reload();
    const events = new EventSource(soundEventsPath(id));
    const hear = <Name extends keyof SoundEvents>(
      name: Name,
      act: (data: SoundEvents[Name]) => void,
    ) =>
      events.addEventListener(name, (event) =>
        act(JSON.parse((event as MessageEvent<string>).data) as SoundEvents[Name]),
      );
    hear('progress', setProgress);
    hear('ready', () => void reload());
    hear('changed', ({ changedAt }) => {
      if (changedAt !== shown.current.changedAt) void reload();
    });
    // Another window may have changed what this sound refers to: a wheel, plucks.
    const look = () => {
      if (document.visibilityState === 'visible') void reload();
    };
    document.addEventListener('visibilitychange', look);
    return () => {
      events.close();
      document.removeEventListener('visibilitychange', look);
    };
  }, [id, reload]);

  const underWay = view?.state === 'waiting' || view?.state === 'analysing';
  useEffect(() => {
    if (!underWay) return;
    const timer = window.setInterval(() => void reload(), pollMs);
    return () => window.clearInterval(timer);
  }, [underWay, reload]);

  /** One change after the other, in the order they were made. */
  const enqueue = useCallback(
    (ask: () => Promise<SoundView>): Promise<boolean> => {
      setWaiting((n) => n + 1);
      const done = queue.current
        .then(() => take(ask))
        .then(() => true)
        .catch((error: unknown) => {
          complain(problemsOf(error));
          return false;
        })
        .finally(() => setWaiting((n) => n - 1));
      queue.current = done;
      return done;
    },
    [take, complain],
  );

  return useMemo(
    () => ({
      view,
      problems,
      progress: underWay ? progress : null,
      saving: waiting > 0,
      change: (change: SoundChange) => enqueue(() => changeSound(id, change)),
      analyse: () => enqueue(() => analyseSound(id)),
      stop: () => enqueue(() => stopAnalysis(id)),
    }),
    [id, view, problems, progress, underWay, waiting, enqueue],
  );
}
