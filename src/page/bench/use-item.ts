import { useCallback, useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { BenchChange, BenchView, Problem } from '../../application/contract.ts';
import { changeBench, problemsOf, readBench, RefusedError } from '../api.ts';
import { keepText, keptText } from '../parts/kept-text.ts';
import { useNotices } from '../parts/notices.tsx';
import { joined } from './readings.ts';

export interface ItemWork {
  view: BenchView | null;
  /** Why the item itself cannot be shown. */
  problems: Problem[];
  /** The readings or the sheet as the person left them, saved or on their way. */
  input: string;
  saving: boolean;
  /** Not yet on the server; kept in this browser until it is. */
  unsaved: boolean;
  change: (change: BenchChange) => Promise<boolean>;
  /** Tries once more to save what is kept in this browser. */
  retry: () => Promise<boolean>;
  /** Gives up what is kept in this browser for what is saved. */
  giveUp: () => void;
}

/** An input that the server does not have yet, and the one that it was made from. */
interface Pending {
  base: string;
  text: string;
}

const retryMs = 4000;
const away = (error: unknown): boolean => error instanceof RefusedError && error.status === 0;
const overtaken = (error: unknown): boolean =>
  error instanceof RefusedError && error.status === 412;

/**
 * One bench item, kept in step with the server. An input is kept in the browser from the moment it is made
 * until the server has it, so that neither a reload nor a server that is away loses a reading; what another
 * window added meanwhile is kept too.
 */
export function useItem(id: string): ItemWork {
  const { say, complain } = useNotices();
  const [view, setView] = useState<BenchView | null>(null);
  const [problems, setProblems] = useState<Problem[]>([]);
  const [waiting, setWaiting] = useState(0);
  const [refused, setRefused] = useState(false);
  const { pending, pendingRef, keep } = usePending(id);
  const known = useRef<BenchView | null>(null);
  const queue = useRef<Promise<unknown>>(Promise.resolve());

  const accept = useCallback((next: BenchView) => {
    // Answers overtake each other: one that was asked for earlier must not undo what is shown.
    if (known.current && next.changedAt < known.current.changedAt) return;
    known.current = next;
    setView(next);
    setProblems([]);
  }, []);

  const enqueue = useCallback(
    (work: () => Promise<void>): Promise<boolean> => {
      setWaiting((n) => n + 1);
      const done = queue.current
        .then(work)
        .then(() => true)
        .catch((error: unknown) => {
          setRefused(!away(error));
          // An input that waits is said where it is entered; a notice over the keys would be in the way.
          if (!away(error) || pendingRef.current === null) complain(problemsOf(error));
          return false;
        })
        .finally(() => setWaiting((n) => n - 1));
      queue.current = done;
      return done;
    },
    [complain, pendingRef],
  );

  const flush = useCallback(async () => {
    const mine = pendingRef.current;
    if (mine === null) return;
    const send = async (onto: BenchView): Promise<BenchView> => {
      const { text, lost } = joined(mine.base, mine.text, onto.input);
      const next = await changeBench(id, { input: text }, onto.changedAt);
      if (lost)
        say('Another window had changed this too; yours is in place.', {
          label: 'Take the other',
          run: () => void enqueue(async () => accept(await changeBench(id, { input: onto.input }))),
        });
      return next;
    };
    const onto = known.current ?? (await readBench(id));
    const next = await send(onto).catch(async (error: unknown) => {
      if (!overtaken(error)) throw error;
      return send(await readBench(id));
    });
    accept(next);
    setRefused(false);
    // What was typed while this was on its way goes on from here.
    const now = pendingRef.current;
    keep(now && now.text !== mine.text ? { base: mine.text, text: now.text } : null);
  }, [id, pendingRef, keep, accept, say, enqueue]);

  const change = useCallback(
    async ({ input, ...rest }: BenchChange) => {
      let done = true;
      if (input !== undefined) {
        keep({ base: pendingRef.current?.base ?? known.current?.input ?? '', text: input });
        done = await enqueue(flush);
      }
      if (Object.keys(rest).length === 0) return done;
      return (await enqueue(async () => accept(await changeBench(id, rest)))) && done;
    },
    [id, keep, pendingRef, enqueue, flush, accept],
  );

  const reload = useCallback(
    () =>
      readBench(id).then(accept, (error: unknown) => {
        if (known.current === null) setProblems(problemsOf(error));
      }),
    [id, accept],
  );
  useEffect(() => {
    void reload().then(() => {
      if (known.current && pendingRef.current) void enqueue(flush);
    });
    const look = () => {
      if (document.visibilityState === 'visible') void reload();
    };
    document.addEventListener('visibilitychange', look);
    window.addEventListener('focus', look);
    return () => {
      document.removeEventListener('visibilitychange', look);
      window.removeEventListener('focus', look);
    };
  }, [reload, pendingRef, enqueue, flush]);

  const idle = waiting === 0;
  useEffect(() => {
    if (pending === null || !idle || refused || view === null) return;
    const timer = window.setTimeout(() => void enqueue(flush), retryMs);
    return () => window.clearTimeout(timer);
  }, [pending, idle, refused, view, enqueue, flush]);

  return useMemo(
    () => ({
      view,
      problems,
      input: pending?.text ?? view?.input ?? '',
      saving: waiting > 0,
      unsaved: pending !== null,
      change,
      retry: () => enqueue(flush),
      giveUp: () => keep(null),
    }),
    [view, problems, pending, waiting, change, enqueue, flush, keep],
  );
}

/** Kept under the item's name, so that a reload finds it again. */
function usePending(id: string) {
  const name = `${id}:bench-input`;
  const [pending, setPending] = useState<Pending | null>(() => readPending(keptText(name)));
  const pendingRef = useRef(pending);
  const keep = useCallback(
    (next: Pending | null) => {
      pendingRef.current = next;
      keepText(name, next && JSON.stringify(next));
      setPending(next);
    },
    [name],
  );
  return { pending, pendingRef, keep };
}

function readPending(text: string | null): Pending | null {
  try {
    const { base, text: own } = JSON.parse(text ?? '') as Partial<Pending>;
    return typeof base === 'string' && typeof own === 'string' ? { base, text: own } : null;
  } catch {
    return null;
  }
}
