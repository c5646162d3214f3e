/**
 * What a careful person gets from a spectrum program: the strongest line over its surroundings in the mean
 * spectrum, and the cause whose pitch lies nearest. Spokes by the handbook's clamped wire at the mean tension of
 * the sheet under the torque that was told (35 Nm when none was).
 * No odds: it says 1.
 */
import { welch } from '../src/core/signal/index.ts';
import { sectionFromOutline, wheelMechanics } from '../src/core/structure/index.ts';
import { readWheelSheet } from '../src/sheets/index.ts';
import { wireHz } from '../src/simulation/index.ts';
import type { NoiseEvidence, NoiseVerdict } from './noise-case.ts';

export function estimate(evidence: NoiseEvidence): NoiseVerdict {
  const hz = strongestLine(evidence);
  const known: { id: string; hz: number }[] = [
    { id: 'brake-unit-squeal', hz: 1000 },
    { id: 'brake-unit-chatter', hz: 500 },
    ...spokePitches(evidence),
  ];
  const off = (one: { hz: number }): number => Math.abs(Math.log(one.hz / hz));
  const nearest = known.reduce((best, one) => (off(one) < off(best) ? one : best));
  const id = off(nearest) < 0.2 ? nearest.id : 'none-of-these';
  return {
    tones: [{ hz, from: 0, to: evidence.lengthSamples / evidence.sampleRateHz }],
    causes: [{ id, odds: 1 }],
  };
}

function strongestLine({ blocks, sampleRateHz, lengthSamples }: NoiseEvidence): number {
  const all = new Float32Array(lengthSamples);
  let at = 0;
  for (const block of blocks()) {
    all.set(block, at);
    at += block.length;
  }
  const { hz, psd } = welch(all, sampleRateHz, { segment: 4096 });
  let best = 0;
  let most = 0;
  for (let i = 40; i < hz.length - 40; i++) {
    if (hz[i] < 150 || hz[i] > 4000) continue;
    const around = Array.from(psd.slice(i - 30, i + 31)).sort((a, b) => a - b)[30];
    if (psd[i] / around > most) [most, best] = [psd[i] / around, hz[i]];
  }
  return best;
}

function spokePitches({ wheelSheet, brakeTorqueNm }: NoiseEvidence): { id: string; hz: number }[] {
  if (wheelSheet === null) return [];
  const { wheel } = readWheelSheet(wheelSheet, 'wheel.yaml', sectionFromOutline);
  return wheelMechanics(wheel).spokes.map((spoke) => {
    const { areaM2, materialEPa, densityKgM3, widthM, thicknessM } = wheel.spokes[spoke.side];
    const secondMomentM4 =
      widthM && thicknessM ? (widthM * thicknessM ** 3) / 12 : areaM2 ** 2 / (4 * Math.PI);
    const wire = {
      lengthM: spoke.lengthM,
      areaM2,
      secondMomentM4,
      youngPa: materialEPa,
      densityKgM3,
    };
    const id =
      spoke.side !== wheel.discSide
        ? 'spokes-other'
        : spoke.deltaTensionPerNm < 0
          ? 'spokes-losing-disc-side'
          : 'spokes-gaining-disc-side';
    return {
      id,
      hz: wireHz(wire, spoke.tensionN + spoke.deltaTensionPerNm * (brakeTorqueNm ?? 35)),
    };
  });
}
