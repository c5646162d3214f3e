/** The howl of the demo in the library: the wheel sheet on the bench, the plucks, the ride. */
import type { Bench } from './bench-contract.ts';
import type { SoundUpload } from './contract.ts';
import { demoNoiseNames, demoSoundTitles } from './demo-sounds-names.ts';
import type { SoundThreads } from './sound-threads.ts';
import type { Sounds } from './sounds-contract.ts';

/** Where in its ride recording the sound begins, s; by which the weight turns the locked wheel. */
const demoStartS = 30;
const demoLever = { massKg: 8, lengthM: 0.4 };

const date = '2026-05-17';

/** Puts the demo into the library: the wheel sheet on the bench, and the sounds. */
export async function makeDemoSounds(
  sounds: Sounds,
  bench: Pick<Bench, 'create'>,
  threads: SoundThreads,
): Promise<void> {
  const { files, brakeTorqueNm } = (await threads.demo()).demo;
  const bytesOf = (name: string): Uint8Array => files.find(({ file }) => file === name)!.bytes;
  const upload = (name: string): SoundUpload => {
    const bytes = bytesOf(name);
    return sounds.addPiece(sounds.beginUpload(name, bytes.length).upload, 0, bytes);
  };
  const input = new TextDecoder().decode(bytesOf(demoNoiseNames.wheel));
  const wheel = bench.create({ kind: 'wheel', title: demoSoundTitles.wheel, date, input });
  const plucks: string[] = [];
  for (const kind of ['free', 'locked'] as const) {
    const lever = kind === 'free' ? null : demoLever;
    const { upload: id } = upload(demoNoiseNames[kind]);
    const options = { wheel, lever };
    plucks.push(
      await sounds.create({
        kind: 'plucks',
        upload: id,
        title: demoSoundTitles[kind],
        date,
        options,
      }),
    );
  }
  const { upload: rideId, file } = upload(demoNoiseNames.ride);
  const options = { wheel, plucks, brakeTorqueNm, startS: demoStartS };
  await sounds.create({
    kind: 'noise',
    upload: upload(demoNoiseNames.howl).upload,
    title: demoSoundTitles.howl,
    date,
    options: { ...options, ride: { upload: rideId, file } },
  });
}
