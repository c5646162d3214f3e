/** From the kept pieces of a session to one stored sound of plucks. */
import type { PluckSoundView, SoundView } from '../../application/contract.ts';
import { changeSound, createSound, readSound, sendSound } from '../api.ts';
import { countedOf, ordered } from './pluck-plan.ts';
import type { PluckSession, Taken } from './pluck-plan.ts';
import { leverTorqueNm, torqueWords } from './pluck-words.ts';
import type { KeptRecording } from './record-store.ts';
import { keptPieces } from './record-store.ts';
import { dayOf, faded, timeOf, wavFile } from './record-wav.ts';

export type Storing = 'sending' | 'listening';

/** Pieces that are really there, in the order plucked, with ends that do not click. */
async function soundOf(
  id: string,
  taken: readonly Taken[],
  sampleRateHz: number,
): Promise<{ taken: Taken[]; pieces: Blob[] }> {
  const kept = new Map((await keptPieces(id)).map(({ number, piece }) => [number, piece]));
  const there = taken.filter(({ piece }) => kept.has(piece));
  const pieces = await Promise.all(
    there.map(async ({ piece }) => {
      const samples = new Int16Array(await kept.get(piece)!.arrayBuffer());
      return new Blob([faded(samples, sampleRateHz)]);
    }),
  );
  return { taken: there, pieces };
}

/**
 * Sends the session as one sound and answers its id. `stored` hears the id as soon as there is one: from then on
 * `layOnSpokes` is all that is left to do.
 */
export async function storePlucks(
  { id, startedAt, sampleRateHz, data }: KeptRecording<PluckSession>,
  onProgress: (share: number) => void,
): Promise<string> {
  const { taken, pieces } = await soundOf(id, data.step.taken, sampleRateHz);
  const started = new Date(startedAt);
  const file = wavFile(pieces, sampleRateHz, started);
  const { lever, wheel, setup } = data.plan;
  const torque = torqueWords(lever ? leverTorqueNm(lever.massKg, lever.lengthM) : 0);
  const name = `plucks ${dayOf(started)} ${timeOf(started, '-')}.wav`;
  const { upload } = await sendSound(file, name, onProgress);
  const counted = countedOf({ ...data.step, taken });
  const sound = await createSound({
    kind: 'plucks',
    upload,
    title: `Spokes plucked ${torque}`,
    date: dayOf(started),
    setup,
    options: {
      wheel,
      lever,
      brakeTorqueNm: 0,
      spokes: counted.map(({ spoke }) => spoke),
      // One stroke a piece is expected; once it was listened to, what was heard decides.
      leaveOut: taken.flatMap(({ out }, i) => (out ? [i + 1] : [])),
    },
  });
  return sound.id;
}

/** Waits until the sound was listened to, then lays what was heard on the spokes that were plucked. */
export async function layOnSpokes(id: string, session: PluckSession): Promise<PluckSoundView> {
  const view = await listenedTo(id);
  if (view.kind !== 'plucks' || view.finding === null) return view as PluckSoundView;
  const { spokes, leaveOut } = ordered(session.step.taken, view.finding.heard);
  const same = JSON.stringify([view.options.spokes, view.options.leaveOut]);
  if (same === JSON.stringify([spokes, leaveOut])) return view;
  return (await changeSound(id, { options: { spokes, leaveOut } })) as PluckSoundView;
}

/** The plucks belong to the howl from now on. */
export async function addToNoise(noise: string, id: string): Promise<void> {
  const view = await readSound(noise);
  if (view.kind !== 'noise' || view.options.plucks.includes(id)) return;
  await changeSound(noise, { options: { plucks: [...view.options.plucks, id] } });
}

const askEveryMs = 300;

async function listenedTo(id: string): Promise<SoundView> {
  for (;;) {
    const view = await readSound(id);
    if (view.state !== 'waiting' && view.state !== 'analysing') return view;
    await new Promise((resolve) => setTimeout(resolve, askEveryMs));
  }
}
