import { useCallback, useEffect, useState } from 'preact/hooks';
import type { Problem, SoundSummary } from '../../application/contract.ts';
import { demoDay, listSounds, problemsOf, removeSound, restoreSound } from '../api.ts';
import { AreaLinks } from '../parts/area-links.tsx';
import { useNotices } from '../parts/notices.tsx';
import { ProblemList } from '../parts/problems.tsx';
import { RemovedList } from '../parts/removed-list.tsx';
import { pluckHref } from '../route.ts';
import { AddSounds } from './add-sounds.tsx';
import { EmptyListen } from './empty-listen.tsx';
import { RecordNoise } from './record-noise.tsx';
import { SoundList } from './sound-list.tsx';
import { soundKinds } from './words.ts';

const pollMs = 2000;

export function ListenScreen() {
  const { say, complain } = useNotices();
  const [sounds, setSounds] = useState<SoundSummary[] | null>(null);
  const [removed, setRemoved] = useState<SoundSummary[]>([]);
  const [problems, setProblems] = useState<Problem[]>([]);

  const load = useCallback(async () => {
    try {
      const [present, gone] = await Promise.all([listSounds(), listSounds(true)]);
      setSounds(present);
      setRemoved(gone);
      setProblems([]);
    } catch (error) {
      setProblems(problemsOf(error));
    }
  }, []);
  useEffect(() => {
    document.title = 'Listen · Lapbench';
    void load();
  }, [load]);
  const underWay = sounds?.some(({ state }) => state === 'waiting' || state === 'analysing');
  useEffect(() => {
    if (!underWay) return;
    const timer = window.setInterval(() => void load(), pollMs);
    return () => window.clearInterval(timer);
  }, [underWay, load]);

  const attempt = async (work: () => Promise<unknown>) => {
    try {
      await work();
    } catch (error) {
      complain(problemsOf(error));
    }
    await load();
  };
  const restore = (sound: SoundSummary) =>
    attempt(async () => {
      await restoreSound(sound.id);
      say(`"${sound.title}" is back.`);
    });
  const remove = (sound: SoundSummary) =>
    attempt(async () => {
      await removeSound(sound.id);
      say(`"${sound.title}" is removed.`, { label: 'Undo', run: () => void restore(sound) });
    });
  const openDemo = () =>
    attempt(async () => {
      await demoDay();
      const before = await listSounds(true);
      // Whoever took the demo out does not get it again unasked.
      if (before.length > 0) return say('If the demo was removed before, restore it below.');
      // It is made beside everything else, its ride last.
      for (let tries = 0; tries < 120; tries++) {
        if ((await listSounds()).some(({ kind }) => kind === 'noise')) return;
        await new Promise((resolve) => setTimeout(resolve, 500));
      }
    });

  return (
    <div class="days">
      <header class="days-head">
        <h1>Listen</h1>
        <AreaLinks here="listen" />
      </header>
      <main id="main" tabIndex={-1}>
        <AddSounds made={() => void load()} />
        <RecordNoise made={() => void load()} />
        <p>
          <a class="button" href={pluckHref()}>
            Pluck spokes, one after the other
          </a>
        </p>
        <ProblemList problems={problems} />
        {sounds === null && problems.length === 0 && <p role="status">Reading the library …</p>}
        {sounds !== null && sounds.length === 0 && <EmptyListen openDemo={openDemo} />}
        {sounds !== null && sounds.length > 0 && (
          <SoundList sounds={sounds} remove={(sound) => void remove(sound)} />
        )}
        <RemovedList
          title="Removed sounds"
          removed={removed}
          tag={({ kind }) => soundKinds[kind]}
          restore={restore}
        />
      </main>
    </div>
  );
}
