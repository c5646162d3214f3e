import { writeFit } from '../recordings/index.ts';
import { daySheetYaml, simulateDay } from '../simulation/index.ts';

/** A day as a tester brings it home: the sheet and its recordings. */
export interface DemoDay {
  sheet: string;
  files: { file: string; bytes: Uint8Array }[];
}

/** What goes wrong on the day. A good reduction leaves each out, span or lap, and says why. */
export const demoMishaps = {
  dog: { run: 4, lap: 2, remark: 'Braked hard for a dog in lap 2' },
  jacket: { run: 6, lap: 3, remark: 'Sat up for half of lap 3, jacket undone' },
} as const;

/** True drag areas of the demo day, m²: what a reduction should find. */
export const demoTruthM2 = { shallow: 0.2362, mid: 0.2357, deep: 0.2318 } as const;

/**
 * The demo day: an invented loop in open ocean, three invented wheelsets, nine runs of three laps in
 * mirrored order, a gusty wind that turns, a power meter that drifts 1 % and an airspeed sensor 3 % off.
 * One pair differs clearly from control, the other by less than such a day can show. The same files
 * every time.
 */
export async function demoDay(): Promise<DemoDay> {
  const { dog, jacket } = demoMishaps;
  const day = simulateDay({
    seed: 20260517,
    course: { kind: 'loop', reliefM: 7, bearingDeg: 75 },
    setups: [
      {
        id: 'shallow',
        name: 'Shallow pair',
        cdaM2: demoTruthM2.shallow,
        wheelInertiaKgM2: 0.14,
        massOffsetKg: 0,
      },
      {
        id: 'mid',
        name: 'Mid pair',
        cdaM2: demoTruthM2.mid,
        wheelInertiaKgM2: 0.155,
        massOffsetKg: 0.05,
      },
      {
        id: 'deep',
        name: 'Deep pair',
        cdaM2: demoTruthM2.deep,
        wheelInertiaKgM2: 0.17,
        massOffsetKg: 0.1,
      },
    ],
    wind: { speedMps: 2.4, fromDeg: 240 },
    physics: { runScatter: 0.001 },
    sensors: { powerDrift: 0.01, airspeedScaleError: 0.03, powerScaleError: -0.006 },
    stated: { crr: 0.0046 },
    incidents: [
      { run: dog.run, lap: dog.lap, atM: 1140, kind: 'braking', toSpeedMps: 3.5 },
      {
        run: jacket.run,
        lap: jacket.lap,
        atM: 600,
        kind: 'sitting-up',
        seconds: 130,
        cdaFactor: 1.25,
      },
    ],
  });
  const names = day.runs.map((_, i) => `run-${i + 1}.fit`);
  const files = day.runs.map(({ startEpochS, timeS, channels, lapMarksS }, i) => ({
    file: names[i],
    bytes: writeFit({ startEpochS, timeS, channels, lapMarksS }),
  }));
  const remarks = day.runs.map(
    (_, i) => Object.values(demoMishaps).find(({ run }) => run === i + 1)?.remark ?? null,
  );
  const sheet = daySheetYaml(day, names, {
    title: 'Gravel-pit loop (invented)',
    heading: [
      'An invented day. The loop, the rider, the wheels and the weather do not exist; the recordings',
      'were made by the simulation that comes with Lapbench and lie in open ocean.',
    ],
    remarks,
  });
  return { sheet, files };
}
