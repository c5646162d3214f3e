import { useCallback, useEffect, useRef, useState } from 'preact/hooks';
import type { Problem } from '../../application/contract.ts';
import { clock } from '../../figures/index.ts';
import { createSound, problemsOf, sendSound } from '../api.ts';
import { useNotices } from '../parts/notices.tsx';
import { ProblemList } from '../parts/problems.tsx';
import { listenHref } from '../route.ts';
import { LevelFeed, LevelMeter } from './record-level.tsx';
import { microphoneProblem, openMicrophone } from './record-microphone.ts';
import type { Microphone } from './record-microphone.ts';
import {
  addPiece,
  dropRecording,
  keepsRecordings,
  keptPieces,
  keptRecordings,
} from './record-store.ts';
import type { KeptRecording } from './record-store.ts';
import { dayOf, timeOf, toPcm16, wavFile } from './record-wav.ts';

/** How long it is so far. */
type KeptNoise = KeptRecording<{ seconds: number }>;

/** So much is lost when the browser crashes. */
const pieceS = 2;

/** Records a ride, or a wheel on the stand, straight from the microphone; long ones in pieces. */
export function RecordNoise({ made }: { made: () => void }) {
  const { say } = useNotices();
  const [feed] = useState(() => new LevelFeed());
  const [kept, setKept] = useState<KeptNoise[]>([]);
  const [running, setRunning] = useState<KeptNoise | null>(null);
  const [starting, setStarting] = useState(false);
  const [remarks, setRemarks] = useState<Problem[]>([]);
  const [problems, setProblems] = useState<Problem[]>([]);
  const [sending, setSending] = useState<{ id: string; share: number } | null>(null);
  const [durable, setDurable] = useState(true);
  const open = useRef<{ mic: Microphone; end: () => Promise<void> } | null>(null);

  const load = useCallback(async () => {
    setDurable(await keepsRecordings());
    setKept(await keptRecordings<{ seconds: number }>('noise').catch(() => []));
  }, []);
  useEffect(() => {
    void load();
    return () => void open.current?.end();
  }, [load]);
  // A closed page ends the recording: the browser asks first.
  useEffect(() => {
    if (running === null) return;
    const ask = (event: BeforeUnloadEvent) => event.preventDefault();
    window.addEventListener('beforeunload', ask);
    return () => window.removeEventListener('beforeunload', ask);
  }, [running === null]);

  const stop = async () => {
    await open.current?.end();
    setRunning(null);
    await load();
  };
  const start = async () => {
    setStarting(true);
    setProblems([]);
    try {
      const writer = new PieceWriter((seconds) =>
        setRunning((before) => before && { ...before, data: { seconds } }),
      );
      const mic = await openMicrophone(
        (samples) => {
          feed.push(samples);
          writer.push(samples).catch((error: unknown) => {
            setProblems([outOfRoom(error)]);
            void stop();
          });
        },
        (problem) => {
          setProblems([problem]);
          void stop();
        },
      );
      writer.begin(mic.sampleRateHz);
      open.current = {
        mic,
        end: async () => {
          open.current = null;
          mic.close();
          await writer.flush().catch((error: unknown) => setProblems([outOfRoom(error)]));
        },
      };
      setRemarks(mic.remarks);
      setRunning(writer.recording);
    } catch (error) {
      setProblems([microphoneProblem(error)]);
    }
    setStarting(false);
  };
  const keep = async ({ id, startedAt, sampleRateHz }: KeptNoise) => {
    setProblems([]);
    setSending({ id, share: 0 });
    try {
      const started = new Date(startedAt);
      const pieces = (await keptPieces(id)).map(({ piece }) => piece);
      const when = `${dayOf(started)} ${timeOf(started, '-')}`;
      const file = wavFile(pieces, sampleRateHz, started);
      const { upload } = await sendSound(file, `noise ${when}.wav`, (share) =>
        setSending({ id, share }),
      );
      const sound = await createSound({
        kind: 'noise',
        upload,
        title: `Recorded at ${timeOf(started).slice(0, 5)}`,
        date: dayOf(started),
        options: { zoneMinutes: -started.getTimezoneOffset() },
      });
      await dropRecording(id);
      say('The recording is stored.', {
        label: 'Open it',
        run: () => (window.location.hash = listenHref(sound.id)),
      });
      made();
    } catch (error) {
      setProblems(problemsOf(error));
    }
    setSending(null);
    await load();
  };
  const throwAway = async ({ id }: KeptNoise) => {
    await dropRecording(id).catch(() => undefined);
    await load();
  };

  return (
    <section class="block record" aria-label="Record from the microphone">
      {running === null ? (
        <div class="record-begin">
          <button
            type="button"
            class="button pluck-big"
            disabled={starting}
            onClick={() => void start()}
          >
            {starting ? 'Opening the microphone …' : 'Record from the microphone'}
          </button>
        </div>
      ) : (
        <div class="record-now">
          <p class="record-time" role="timer" aria-label="Recorded">
            {clock(running.data.seconds)}
          </p>
          <LevelMeter feed={feed} />
          <button type="button" class="button primary pluck-big" onClick={() => void stop()}>
            Stop recording
          </button>
        </div>
      )}
      <p role="status" class="unseen">
        {running ? 'Recording.' : ''}
      </p>
      <ProblemList problems={[...problems, ...(running ? remarks : [])]} label="About recording" />
      {!durable && (
        <p class="field-wrong">
          This browser keeps nothing: a recording is lost when the page is closed before it is
          stored.
        </p>
      )}
      {kept
        .filter((one) => one.id !== running?.id)
        .map((one) => (
          <KeptLine
            key={one.id}
            kept={one}
            share={sending?.id === one.id ? sending.share : null}
            keep={() => void keep(one)}
            throwAway={() => void throwAway(one)}
          />
        ))}
    </section>
  );
}

function KeptLine({
  kept,
  share,
  keep,
  throwAway,
}: {
  kept: KeptNoise;
  share: number | null;
  keep: () => void;
  throwAway: () => void;
}) {
  const [sure, setSure] = useState(false);
  const started = new Date(kept.startedAt);
  const name = `${clock(kept.data.seconds)} from ${timeOf(started).slice(0, 5)}`;
  return (
    <div class="record-kept">
      <p>
        <b>{name}</b>, {dayOf(started)}: recorded, kept in this browser only.
      </p>
      {share === null ? (
        <div class="actions">
          <button type="button" class="button primary" onClick={keep}>
            Store it
          </button>
          {sure ? (
            <>
              <button type="button" class="button" onClick={throwAway}>
                Yes, throw it away
              </button>
              <button type="button" class="button plain" onClick={() => setSure(false)}>
                Keep it
              </button>
            </>
          ) : (
            <button type="button" class="button plain" onClick={() => setSure(true)}>
              Throw it away
            </button>
          )}
        </div>
      ) : (
        <progress max={1} value={share} aria-label={`${name} being stored`} />
      )}
    </div>
  );
}

/** Puts what comes in into pieces of some seconds, one after the other, each on the disk before the next. */
class PieceWriter {
  recording: KeptNoise | null = null;
  private readonly told: (seconds: number) => void;
  private pending: Int16Array<ArrayBuffer>[] = [];
  private pendingSamples = 0;
  private samples = 0;
  private number = 0;
  private toldS = 0;
  private chain: Promise<void> = Promise.resolve();

  constructor(told: (seconds: number) => void) {
    this.told = told;
  }

  begin(sampleRateHz: number): void {
    const startedAt = Date.now();
    const id = `noise-${startedAt}`;
    this.recording = { id, purpose: 'noise', startedAt, sampleRateHz, data: { seconds: 0 } };
  }

  async push(samples: Float32Array): Promise<void> {
    if (!this.recording) return;
    this.pending.push(toPcm16(samples));
    this.pendingSamples += samples.length;
    this.samples += samples.length;
    const seconds = this.samples / this.recording.sampleRateHz;
    if (Math.floor(seconds) > this.toldS) {
      this.toldS = Math.floor(seconds);
      this.told(seconds);
    }
    if (this.pendingSamples >= pieceS * this.recording.sampleRateHz) await this.flush();
  }

  async flush(): Promise<void> {
    if (!this.recording || this.pendingSamples === 0) return this.chain;
    const piece = new Blob(this.pending);
    this.pending = [];
    this.pendingSamples = 0;
    const number = this.number++;
    this.recording = {
      ...this.recording,
      data: { seconds: this.samples / this.recording.sampleRateHz },
    };
    const { recording } = this;
    this.chain = this.chain.then(() => addPiece(recording, number, piece));
    return this.chain;
  }
}

const outOfRoom = (error: unknown): Problem => ({
  code: 'internal',
  message: `The recording had to stop: ${error instanceof Error ? error.message : String(error)}`,
  remedy: 'Make room on the disk; what was recorded until then is kept and can be stored.',
});
