/** A session of plucks as it is kept, heard and stored. */
import { useCallback, useEffect, useRef, useState } from 'preact/hooks';
import type { Problem } from '../../application/contract.ts';
import { hearPlucks, problemsOf } from '../api.ts';
import { PluckEar } from './pluck-ear.ts';
import type { Cutting } from './pluck-ear.ts';
import { beginSession, judge, take } from './pluck-plan.ts';
import type { PluckPlan, PluckSession, Taken, Verdict } from './pluck-plan.ts';
import { LevelFeed } from './record-level.tsx';
import { microphoneProblem, openMicrophone } from './record-microphone.ts';
import type { Microphone } from './record-microphone.ts';
import {
  addPiece,
  dropRecording,
  keptRecordings,
  keepsRecordings,
  putRecording,
} from './record-store.ts';
import type { KeptRecording } from './record-store.ts';
import { toPcm16, wavFile } from './record-wav.ts';

/** A spoke rings no longer than this. */
const ringsForMs = 5000;

export type KeptPlucks = KeptRecording<PluckSession>;

/** What was heard last, and of which spoke. */
export interface Heard {
  /** Counts up, so that the same thing heard twice is said twice. */
  number: number;
  spoke: number;
  verdict: Verdict;
}

export interface PluckRecorder {
  /** Undefined until the browser's store was looked into; null: no session is open. */
  kept: KeptPlucks | null | undefined;
  listening: boolean;
  starting: boolean;
  /** A stroke was heard and is being told. */
  telling: boolean;
  heard: Heard | null;
  /** A doubtful pluck that may still be taken. */
  doubtful: boolean;
  problems: Problem[];
  remarks: Problem[];
  durable: boolean;
  feed: LevelFeed;
  begin: (plan: PluckPlan) => Promise<void>;
  listen: () => Promise<void>;
  pause: () => void;
  takeIt: () => void;
  change: (step: (session: PluckSession) => PluckSession) => void;
  /** Ends the session and forgets its pieces. */
  drop: () => Promise<void>;
}

export function usePluckRecorder(): PluckRecorder {
  const [kept, setKept] = useState<KeptPlucks | null | undefined>(undefined);
  const [microphone, setMicrophone] = useState<Microphone | null>(null);
  const [starting, setStarting] = useState(false);
  const [telling, setTelling] = useState(false);
  const [heard, setHeard] = useState<Heard | null>(null);
  const [pending, setPending] = useState<{
    cutting: Cutting;
    pluck: Omit<Taken, 'out' | 'piece'>;
  } | null>(null);
  const [problems, setProblems] = useState<Problem[]>([]);
  const [durable, setDurable] = useState(true);
  const [feed] = useState(() => new LevelFeed());
  const now = useRef<KeptPlucks | null>(null);
  const open = useRef<Microphone | null>(null);
  const gone = useRef(false);
  const takenLast = useRef<{ spoke: number; hz: number; atMs: number } | null>(null);
  const chain = useRef<Promise<unknown>>(Promise.resolve());

  const show = useCallback((next: KeptPlucks | null) => {
    now.current = next;
    setKept(next);
  }, []);

  useEffect(() => {
    void (async () => {
      setDurable(await keepsRecordings());
      const [newest] = await keptRecordings<PluckSession>('plucks').catch(() => []);
      show(newest ?? null);
    })();
    gone.current = false;
    return () => {
      gone.current = true;
      open.current?.close();
    };
  }, [show]);

  /** Sound first, session with it, then the page: what is shown as taken is on the disk. */
  const store = useCallback(
    async (cutting: Cutting, pluck: Omit<Taken, 'out' | 'piece'>) => {
      const before = now.current;
      if (!before) return;
      const piece = before.data.pieces;
      const next = { ...before, data: take(before.data, { ...pluck, piece }) };
      try {
        await addPiece(next, piece, new Blob([toPcm16(cutting.samples)]));
        show(next);
      } catch (error) {
        setProblems([outOfRoom(error)]);
      }
    },
    [show],
  );

  const tell = useCallback(
    async (cutting: Cutting) => {
      const before = now.current;
      const spoke = before?.data.step.now ?? null;
      if (!before || spoke === null) return;
      const { sampleRateHz } = before;
      const blob = wavFile([new Blob([toPcm16(cutting.samples)])], sampleRateHz, new Date());
      const strokeAtMs = performance.now();
      setTelling(true);
      try {
        const last = takenLast.current;
        const rung =
          last && last.spoke !== spoke && strokeAtMs - last.atMs < ringsForMs ? last : null;
        const verdict = judge(await hearPlucks(blob), rung);
        setProblems([]);
        // Meanwhile another spoke may have been chosen: then nobody knows which one it was.
        if (verdict.kind === 'nothing' || now.current?.data.step.now !== spoke) return;
        const say = () => setHeard((last) => ({ number: (last?.number ?? 0) + 1, spoke, verdict }));
        if (verdict.kind === 'tap') return say();
        const { hz, ci95, q, atS } = verdict;
        const pluck = { spoke, hz, ci95, q, atS, lengthS: cutting.samples.length / sampleRateHz };
        if (verdict.kind === 'doubtful') {
          setPending({ cutting, pluck });
          return say();
        }
        setPending(null);
        takenLast.current = { spoke, hz, atMs: strokeAtMs };
        await store(cutting, pluck);
        say();
      } catch (error) {
        setProblems(problemsOf(error));
      } finally {
        setTelling(false);
      }
    },
    [store],
  );

  const listen = useCallback(async () => {
    if (open.current) return;
    setStarting(true);
    setProblems([]);
    const ear: { current: PluckEar | null } = { current: null };
    try {
      const mic = await openMicrophone(
        (samples) => {
          feed.push(samples);
          const cutting = ear.current?.push(samples);
          if (cutting) chain.current = chain.current.then(() => tell(cutting));
        },
        (problem) => {
          open.current = null;
          setMicrophone(null);
          setProblems([problem]);
        },
      );
      // The page may have been left while the browser asked.
      if (gone.current) return mic.close();
      const session = now.current;
      if (session && session.sampleRateHz !== mic.sampleRateHz) {
        if (session.data.pieces > 0) {
          mic.close();
          setProblems([otherRate(session.sampleRateHz, mic.sampleRateHz)]);
          return;
        }
        show({ ...session, sampleRateHz: mic.sampleRateHz });
      }
      ear.current = new PluckEar(mic.sampleRateHz);
      open.current = mic;
      setMicrophone(mic);
    } catch (error) {
      setProblems([microphoneProblem(error)]);
    } finally {
      setStarting(false);
    }
  }, [feed, show, tell]);

  const pause = useCallback(() => {
    open.current?.close();
    open.current = null;
    setMicrophone(null);
  }, []);

  return {
    kept,
    listening: microphone !== null,
    starting,
    telling,
    heard,
    doubtful: pending !== null,
    problems,
    remarks: microphone?.remarks ?? [],
    durable,
    feed,
    listen,
    pause,
    async begin(plan) {
      await listen();
      if (!open.current) return;
      const { sampleRateHz } = open.current;
      const startedAt = Date.now();
      const id = `plucks-${startedAt}`;
      const next = {
        id,
        purpose: 'plucks' as const,
        startedAt,
        sampleRateHz,
        data: beginSession(plan),
      };
      await putRecording(next).catch(() => setDurable(false));
      setHeard(null);
      show(next);
    },
    takeIt() {
      if (!pending) return;
      setPending(null);
      void store(pending.cutting, pending.pluck);
    },
    change(step) {
      const before = now.current;
      if (!before) return;
      const next = { ...before, data: step(before.data) };
      setPending(null);
      show(next);
      void putRecording(next).catch((error: unknown) => setProblems([outOfRoom(error)]));
    },
    async drop() {
      pause();
      const before = now.current;
      show(null);
      setHeard(null);
      setPending(null);
      if (before) await dropRecording(before.id).catch(() => undefined);
    },
  };
}

const outOfRoom = (error: unknown): Problem => ({
  code: 'internal',
  message: `The browser cannot keep this sound: ${error instanceof Error ? error.message : String(error)}`,
  remedy: 'Make room on the disk and pluck this spoke again; what was taken before is safe.',
});

const otherRate = (had: number, has: number): Problem => ({
  code: 'internal',
  message: `This microphone gives ${has} samples a second, the plucks so far have ${had}.`,
  remedy: 'Use the microphone that was used before, or store these plucks and begin anew.',
});
