/** `brake-noise 1` as a tester would use it: sound through the analyser, plucks found, wheel sheet read. */
import { estimateBrakeNoise } from '../src/core/methods/brake-noise/index.ts';
import { findPlucks, soundAnalyser } from '../src/core/signal/index.ts';
import { sectionFromOutline } from '../src/core/structure/index.ts';
import { readWheelSheet } from '../src/sheets/index.ts';
import type { NoiseEvidence, NoiseVerdict } from './noise-case.ts';

export function estimate(evidence: NoiseEvidence): NoiseVerdict {
  const { sampleRateHz, lengthSamples, ride, wheelSheet, plucks } = evidence;
  const analyser = soundAnalyser(sampleRateHz);
  for (const block of evidence.blocks()) analyser.push(block);
  const { levels, tracks } = analyser.finish();
  const finding = estimateBrakeNoise({
    sound: {
      file: 'ride.wav',
      channelUsed: 'the only one',
      encoding: 'samples',
      channels: 1,
      sampleRateHz,
      lengthSamples,
      ...levels,
    },
    tracks,
    wheelSpeed: ride && {
      timeS: ride.timeS,
      wheelHz: ride.speedMps.map((v) => v / (2 * Math.PI * ride.tyreRadiusM)),
    },
    alignment: ride && { offsetS: 0, how: 'clock', uncertaintyS: 1 },
    sessions: plucks.map(({ samples, sampleRateHz: rate, brakeTorqueNm }, k) => ({
      file: `plucks-${k + 1}.wav`,
      brakeTorqueNm,
      plucks: findPlucks(samples, rate),
      spokes: null,
    })),
    wheel: wheelSheet ? readWheelSheet(wheelSheet, 'wheel.yaml', sectionFromOutline).wheel : null,
    tensions: null,
    brakeTorqueNm: evidence.brakeTorqueNm,
    passing: ride ? [{ name: 'rotor slots', count: ride.rotorSlots }] : [],
    inputs: [],
    warnings: [],
  });
  return {
    tones: finding.tones.map(({ hz, from, to }) => ({ hz, from, to })),
    causes: finding.explanations.map(({ id, odds }) => ({ id, odds })),
  };
}
