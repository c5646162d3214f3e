import { mkdirSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { writeFit } from '../src/recordings/index.ts';
import { daySheetYaml, simulateDay, writeCsv } from '../src/simulation/index.ts';
import type { SimulatedDay } from '../src/simulation/index.ts';

export interface WrittenDay {
  folder: string;
  samples: number;
  laps: number;
  megabytes: number;
}

/**
 * An invented day of `hours` at 1 Hz with five laps an hour: runs of two laps of twelve minutes on five
 * setups. A multiple of four hours gives whole rounds.
 */
export function longDay(hours: number): SimulatedDay {
  return simulateDay({
    seed: 8,
    setups: 5,
    runsPerSetup: hours / 2,
    lapsPerRun: 2,
    changeoverMin: 1,
    course: { kind: 'loop', lapLengthM: 7500, reliefM: 15 },
    rider: { lapTimeS: 720 },
    wind: { speedMps: 2.5 },
    sensors: { powerDrift: 0.02, airspeedScaleError: 0.05 },
  });
}

/** Writes the day's recordings and sheet into `folder`. */
export function writeDay(day: SimulatedDay, folder: string, format: 'fit' | 'csv'): WrittenDay {
  mkdirSync(folder, { recursive: true });
  const names = day.runs.map((_, i) => `run-${i + 1}.${format}`);
  let bytes = 0;
  day.runs.forEach((run, i) => {
    const { startEpochS, timeS, channels, lapMarksS } = run;
    const content =
      format === 'fit'
        ? writeFit({ startEpochS, timeS, channels, lapMarksS })
        : Buffer.from(writeCsv(run));
    bytes += content.length;
    writeFileSync(path.join(folder, names[i]), content);
  });
  writeFileSync(path.join(folder, 'day.yaml'), daySheetYaml(day, names));
  return {
    folder,
    samples: day.runs.reduce((sum, run) => sum + run.timeS.length, 0),
    laps: day.runs.reduce((sum, run) => sum + run.lapMarksS.length - 1, 0),
    megabytes: bytes / 1e6,
  };
}
