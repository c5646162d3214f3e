/** The howl of the demo: an invented descent, the plucks of its invented wheel, and what belongs to them. */
import { noiseDemo } from '../simulation/index.ts';
import { writeWav } from '../sound/index.ts';
import { demoNoiseNames } from './demo-sounds-names.ts';

export interface DemoNoise {
  files: { file: string; bytes: Uint8Array }[];
  brakeTorqueNm: number;
}

/** As files, 3.9 MB; the same every time. */
export function demoNoise(): DemoNoise {
  const { ride, plucksFree, plucksUnderTorque, wheelSheet, brakeTorqueNm } = noiseDemo();
  const text = (content: string): Uint8Array => new TextEncoder().encode(content);
  const plucks = [plucksFree, plucksUnderTorque].map(({ samples, sampleRateHz }) =>
    writeWav([samples], sampleRateHz),
  );
  return {
    files: [
      { file: demoNoiseNames.howl, bytes: writeWav([ride.samples], ride.sampleRateHz) },
      { file: demoNoiseNames.free, bytes: plucks[0] },
      { file: demoNoiseNames.locked, bytes: plucks[1] },
      { file: demoNoiseNames.wheel, bytes: text(wheelSheet) },
      { file: demoNoiseNames.ride, bytes: text(ride.csv) },
    ],
    brakeTorqueNm,
  };
}
