import { useEffect, useRef, useState } from 'preact/hooks';
import type { Problem, SoundKind } from '../../application/contract.ts';
import { createSound, problemsOf, RefusedError } from '../api.ts';
import { Segments } from '../bench/segments.tsx';
import { useDroppedFiles } from '../parts/dropped-files.ts';
import { useNotices } from '../parts/notices.tsx';
import { ProblemList } from '../parts/problems.tsx';
import { listenHref } from '../route.ts';
import { bringFile, broughtIn, leftAt } from './bring-file.ts';
import { sizeWords, soundKinds, titleOf } from './words.ts';

interface Sending {
  key: number;
  kind: SoundKind;
  file: File;
  share: number;
  /** `lost`: the server went away on the way; it goes on from there. */
  state: 'waiting' | 'sending' | 'checking' | 'done' | 'lost' | 'refused' | 'stopped';
  problems: Problem[];
  /** Of the sound, once there is one. */
  id: string | null;
}

const stateWords: Record<Sending['state'], string> = {
  waiting: 'waiting',
  sending: 'being copied in',
  checking: 'being opened',
  done: 'added',
  lost: 'connection lost, kept as far as it came',
  refused: 'not usable',
  stopped: 'stopped',
};

const ended = (state: Sending['state']): boolean => ['done', 'refused', 'stopped'].includes(state);

/** Large files are cut, and a film brings its sound along. */
const accepted = 'audio/*,video/*,.wav,.m4a,.aac,.mp3,.ogg,.oga,.opus,.flac,.mp4,.mov,.m4v,.3gp';

const purposes: Record<SoundKind, string> = {
  noise: 'A ride on which the brake sounds: what tones are in it, and what could make them.',
  plucks: 'Spokes plucked one after the other, all under the same brake torque: the pitch of each.',
};

/** Brings sound files in, by choice or drop, one after the other. `made` hears when there is a new sound. */
export function AddSounds({ made }: { made: () => void }) {
  const { say } = useNotices();
  const [kind, setKind] = useState<SoundKind>('noise');
  const [list, setList] = useState<Sending[]>([]);
  const next = useRef(1);
  const chain = useRef<Promise<unknown>>(Promise.resolve());
  const stops = useRef(new Map<number, AbortController>());
  const mounted = useRef(true);
  useEffect(() => {
    mounted.current = true;
    return () => {
      mounted.current = false;
    };
  }, []);

  const change = (key: number, part: Partial<Sending>) =>
    setList((now) => now.map((item) => (item.key === key ? { ...item, ...part } : item)));

  const send = async ({ key, kind: own, file }: Sending, alone: boolean) => {
    const stop = stops.current.get(key)!;
    if (stop.signal.aborted) return change(key, { state: 'stopped' });
    change(key, { state: 'sending', problems: [] });
    try {
      const { upload } = await bringFile(
        file,
        (share) => change(key, { share, state: share >= 1 ? 'checking' : 'sending' }),
        stop.signal,
      );
      if (stop.signal.aborted) return change(key, { state: 'stopped' });
      change(key, { state: 'checking', share: 1 });
      const { id } = await createSound({ kind: own, upload, title: titleOf(file.name) });
      broughtIn(file);
      change(key, { state: 'done', id });
      made();
      // One file is the common case: what comes of it is what is wanted next.
      if (alone && mounted.current && window.location.hash === listenHref())
        window.location.hash = listenHref(id);
    } catch (error) {
      if (stop.signal.aborted) return change(key, { state: 'stopped' });
      const lost = error instanceof RefusedError && (error.status === 0 || error.status >= 500);
      if (!lost) broughtIn(file);
      change(key, { state: lost ? 'lost' : 'refused', problems: problemsOf(error) });
    }
  };

  const begin = (items: readonly Sending[]) => {
    for (const item of items) {
      stops.current.set(item.key, new AbortController());
      chain.current = chain.current.then(() => send(item, items.length === 1));
    }
  };

  const add = (files: readonly File[]) => {
    const items = files.map((file): Sending => {
      if (leftAt(file) !== null) say(`${file.name} goes on where it was left.`);
      return {
        key: next.current++,
        kind,
        file,
        share: 0,
        state: 'waiting',
        problems: [],
        id: null,
      };
    });
    setList((now) => [...now, ...items]);
    begin(items);
  };

  const over = useDroppedFiles(add);

  const lost = list.filter(({ state }) => state === 'lost');
  useEffect(() => {
    if (lost.length === 0) return;
    const again = () => begin(lost);
    window.addEventListener('online', again);
    return () => window.removeEventListener('online', again);
  });

  // A closed page would end what is on its way: the browser asks first.
  const busy = list.filter(({ state }) => !ended(state)).length;
  useEffect(() => {
    if (busy === 0) return;
    const ask = (event: BeforeUnloadEvent) => event.preventDefault();
    window.addEventListener('beforeunload', ask);
    return () => window.removeEventListener('beforeunload', ask);
  }, [busy > 0]);

  const unusable = list.filter(({ state }) => state === 'refused').length;
  return (
    <section class="block" aria-label="Add sounds">
      <Segments
        name="new-sound-kind"
        label="What the files hold"
        value={kind}
        options={(Object.keys(soundKinds) as SoundKind[]).map((value) => ({
          value,
          text: soundKinds[value],
        }))}
        choose={setKind}
      />
      <p class="legend">{purposes[kind]}</p>
      <div class={`drop ${over ? 'drop-over' : ''}`}>
        <label class="button primary file-button">
          Add sound files
          <input
            type="file"
            multiple
            accept={accepted}
            class="file-input"
            onChange={(event) => {
              add([...(event.currentTarget.files ?? [])]);
              event.currentTarget.value = '';
            }}
          />
        </label>
        <p>
          {over
            ? 'Let go to add them.'
            : 'or drop them here: WAV, M4A, MP3, OGG, FLAC, or a film for its sound. Hours are fine.'}
        </p>
      </div>
      <p role="status" class={list.length === 0 ? 'unseen' : 'sending-sum'}>
        {list.length === 0
          ? ''
          : busy > 0
            ? `${list.length - busy} of ${list.length} done.`
            : `${list.filter(({ state }) => state === 'done').length} added${unusable > 0 ? `, ${unusable} not usable` : ''}.`}
      </p>
      {list.length > 0 && (
        <>
          <ul class="sending">
            {list.map((item) => (
              <SendingLine
                key={item.key}
                item={item}
                stop={() => {
                  stops.current.get(item.key)?.abort();
                  if (item.state === 'lost') change(item.key, { state: 'stopped' });
                }}
                goOn={() => begin([item])}
              />
            ))}
          </ul>
          {busy === 0 && (
            <button type="button" class="button plain" onClick={() => setList([])}>
              Clear this list
            </button>
          )}
        </>
      )}
    </section>
  );
}

function SendingLine({ item, stop, goOn }: { item: Sending; stop: () => void; goOn: () => void }) {
  const { file, share, state, problems, id } = item;
  return (
    <li class={`sending-${state}`}>
      <span class="sending-name">
        {file.name} <span class="unit">{sizeWords(file.size)}</span>
      </span>
      <span class="sending-state">
        {state === 'sending' ? `${Math.floor(share * 100)}\u202f% ` : ''}
        {stateWords[state]}
      </span>
      {!ended(state) && <progress max={1} value={share} aria-label={`${file.name} copied in`} />}
      {problems.length > 0 && <ProblemList problems={problems} label={`About ${file.name}`} />}
      <div class="actions sending-actions">
        {!ended(state) && state !== 'checking' && (
          <button type="button" class="button" aria-label={`Stop ${file.name}`} onClick={stop}>
            Stop
          </button>
        )}
        {state === 'lost' && (
          <button
            type="button"
            class="button primary"
            aria-label={`Go on with ${file.name}`}
            onClick={goOn}
          >
            Go on
          </button>
        )}
        {id !== null && (
          <a class="button" href={listenHref(id)} aria-label={`Open ${file.name}`}>
            Open it
          </a>
        )}
      </div>
    </li>
  );
}
