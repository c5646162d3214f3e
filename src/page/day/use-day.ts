import { useCallback, useEffect, useRef, useState } from 'preact/hooks';
import type {
  DayEdit,
  DayEvents,
  DayView,
  FieldDragFinding,
  Problem,
} from '../../application/contract.ts';
import { editDay, eventsPath, problemsOf, putSheet, readDay, RefusedError } from '../api.ts';
import { useNotices } from '../parts/notices.tsx';

export interface DayWork {
  view: DayView | null;
  /** Why the day itself cannot be shown. */
  problems: Problem[];
  /** The newest finding, or the one before it while a new one is made. */
  finding: FieldDragFinding | null;
  /** True while `finding` does not yet belong to the sheet as it stands. */
  stale: boolean;
  progress: DayEvents['progress'] | null;
  /** Changes on their way to the server. */
  saving: boolean;
  edit: (edits: DayEdit[]) => Promise<boolean>;
  writeSheet: (text: string) => Promise<boolean>;
  /** Puts a view that another call brought into place. */
  accept: (view: DayView) => void;
}

const pollMs = 1500;

/** One day, kept in step with the server: events where they come, asking again where they do not. */
export function useDay(id: string): DayWork {
  const { complain } = useNotices();
  const [view, setView] = useState<DayView | null>(null);
  const [problems, setProblems] = useState<Problem[]>([]);
  const [progress, setProgress] = useState<DayEvents['progress'] | null>(null);
  const [waiting, setWaiting] = useState(0);
  const lastFinding = useRef<FieldDragFinding | null>(null);
  const queue = useRef<Promise<unknown>>(Promise.resolve());
  const changedAt = useRef('');

  const accept = useCallback((next: DayView) => {
    // Answers overtake each other: one that was asked for earlier must not undo what is shown.
    // The library gives every change a later moment, so the text itself tells old from new.
    if (next.changedAt < changedAt.current) return;
    changedAt.current = next.changedAt;
    if (next.finding) lastFinding.current = next.finding;
    setView(next);
    setProblems([]);
  }, []);

  const reload = useCallback(async () => {
    try {
      accept(await readDay(id));
    } catch (error) {
      if (error instanceof RefusedError && error.status === 0) complain(error.problems);
      else setProblems(problemsOf(error));
    }
  }, [id, accept, complain]);

  useEffect(() => {
    void reload();
    const events = new EventSource(eventsPath(id));
    const hear = <Name extends keyof DayEvents>(name: Name, act: (data: DayEvents[Name]) => void) =>
      events.addEventListener(name, (event) =>
        act(JSON.parse((event as MessageEvent<string>).data) as DayEvents[Name]),
      );
    hear('reducing', () => {
      setProgress((now) => now ?? { stage: 'starting', fraction: 0 });
      setView((now) => now && { ...now, reducing: true, finding: null, findingProblems: [] });
    });
    hear('progress', setProgress);
    hear('finding', ({ finding }) => {
      lastFinding.current = finding;
      setProgress(null);
      setView((now) => now && { ...now, reducing: false, finding, findingProblems: [] });
    });
    hear('problem', ({ problems: why }) => {
      setProgress(null);
      setView((now) => now && { ...now, reducing: false, finding: null, findingProblems: why });
    });
    hear('changed', (data) => {
      if (data.changedAt !== changedAt.current) void reload();
    });
    return () => events.close();
  }, [id, reload]);

  const reducing = view?.reducing ?? false;
  useEffect(() => {
    if (!reducing) return;
    const timer = window.setInterval(() => void reload(), pollMs);
    return () => window.clearInterval(timer);
  }, [reducing, reload]);

  /** One change after the other, in the order they were made. */
  const enqueue = useCallback(
    (change: () => Promise<DayView>): Promise<boolean> => {
      setWaiting((n) => n + 1);
      const done = queue.current
        .then(change)
        .then((next) => {
          accept(next);
          return true;
        })
        .catch((error: unknown) => {
          complain(problemsOf(error));
          return false;
        })
        .finally(() => setWaiting((n) => n - 1));
      queue.current = done;
      return done;
    },
    [accept, complain],
  );

  const edit = useCallback((edits: DayEdit[]) => enqueue(() => editDay(id, edits)), [enqueue, id]);
  const writeSheet = useCallback(
    (text: string) => enqueue(() => putSheet(id, text)),
    [enqueue, id],
  );

  const finding = view?.finding ?? (view?.reducing ? lastFinding.current : null);
  return {
    view,
    problems,
    finding,
    stale: waiting > 0 || (view !== null && view.finding === null),
    progress: reducing ? progress : null,
    saving: waiting > 0,
    edit,
    writeSheet,
    accept,
  };
}
