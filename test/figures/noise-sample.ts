import type { NoiseCurve, NoiseCurvesData, NoiseSpectrumData } from '../../src/figures/index.ts';

const torqueNm = Array.from({ length: 11 }, (_, i) => 8 * i);

/** Invented spokes: pitch about as the root of tension, which torque changes evenly. */
function curve(
  spoke: number,
  freeHz: number,
  perNm: number,
  underBraking: NoiseCurve['underBraking'],
  side: 'left' | 'right',
): NoiseCurve {
  const hz = torqueNm.map((torque) => freeHz * Math.sqrt(1 + perNm * torque));
  return { spoke, side, underBraking, plane: 'both', torqueNm, hz };
}

export function sampleCurves(): NoiseCurvesData {
  const left = Array.from({ length: 7 }, (_, i) => i);
  return {
    curves: [
      ...left.map((i) => curve(1 + 4 * i, 425 + 4.5 * i, -0.0045, 'loses', 'left')),
      ...left.map((i) => curve(3 + 4 * i, 428 + 4.5 * i, 0.0045, 'gains', 'left')),
      ...left
        .slice(0, 4)
        .map((i) => curve(2 + 4 * i, 372 + 4 * i, 0.0002 * i, 'unchanged', 'right')),
    ],
    tones: [
      { tone: 1, hz: 398, ci95: [397, 399] },
      { tone: 2, hz: 481, ci95: [476, 486] },
      { tone: 3, hz: 1010, ci95: [1008, 1012] },
    ],
    held: { value: 45, ci95: [36, 54] },
    spoke: null,
    tone: 1,
  };
}

/** Falling noise with two tones on it. */
export function sampleSpectrum(): NoiseSpectrumData {
  const hz = Array.from({ length: 400 }, (_, i) => 20 + 18 * i);
  const bump = (at: number, about: number, height: number) =>
    height * Math.exp(-(((at - about) / 22) ** 2));
  return {
    hz,
    psdDb: hz.map(
      (at, i) =>
        -52 -
        14 * Math.log10(at / 100) +
        1.3 * Math.sin(i * 1.7) +
        bump(at, 398, 24) +
        bump(at, 1010, 17),
    ),
    tones: [
      { tone: 1, hz: 398 },
      { tone: 2, hz: 1010 },
    ],
    tone: 1,
  };
}
