/**
 * Coloured noise with a known spectrum: white noise through small recursive filters, scaled to unit root
 * mean square, together with the spectral density that follows from the filter's own response.
 */
import type { RandomStream } from '../random.ts';

/** One filter, run sample by sample, with |H(f)|². */
export interface Filter {
  step(x: number): number;
  power(hz: number): number;
}

/** First-order low pass, y += (1 − p)(x − y), p = exp(−2πf/fs). */
export function onePole(cornerHz: number, sampleRateHz: number): Filter {
  const p = Math.exp((-2 * Math.PI * cornerHz) / sampleRateHz);
  let y = 0;
  return {
    step: (x) => (y = p * y + (1 - p) * x),
    power: (hz) => {
      const w = (2 * Math.PI * hz) / sampleRateHz;
      return (1 - p) ** 2 / (1 + p * p - 2 * p * Math.cos(w));
    },
  };
}

/** First-order high pass: what the low pass takes away. */
export function onePoleHigh(cornerHz: number, sampleRateHz: number): Filter {
  const p = Math.exp((-2 * Math.PI * cornerHz) / sampleRateHz);
  let y = 0;
  return {
    step: (x) => {
      y = p * y + (1 - p) * x;
      return x - y;
    },
    power: (hz) => {
      // 1 − (1 − p)/(1 − p·z⁻¹) = p(1 − z⁻¹)/(1 − p·z⁻¹)
      const c = Math.cos((2 * Math.PI * hz) / sampleRateHz);
      return (p * p * (2 - 2 * c)) / (1 + p * p - 2 * p * c);
    },
  };
}

/** Noise that falls about as 1/f in power from 10 Hz up: low passes two octaves apart, added. */
export function pink(sampleRateHz: number): Filter {
  const corners = [10, 40, 160, 640, 2560, 10240].filter((hz) => hz < sampleRateHz / 2);
  const p = corners.map((hz) => Math.exp((-2 * Math.PI * hz) / sampleRateHz));
  const gain = corners.map((hz) => Math.sqrt(10 / hz));
  const state = corners.map(() => 0);
  return {
    step(x) {
      let sum = 0;
      for (let k = 0; k < p.length; k++) {
        state[k] = p[k] * state[k] + (1 - p[k]) * x;
        sum += gain[k] * state[k];
      }
      return sum;
    },
    power(hz) {
      const c = Math.cos((2 * Math.PI * hz) / sampleRateHz);
      const s = Math.sin((2 * Math.PI * hz) / sampleRateHz);
      let re = 0;
      let im = 0;
      for (let k = 0; k < p.length; k++) {
        // gain(1 − p)/(1 − p·e^(−iw)), numerator times the conjugate of the denominator
        const g = (gain[k] * (1 - p[k])) / (1 + p[k] * p[k] - 2 * p[k] * c);
        re += g * (1 - p[k] * c);
        im -= g * p[k] * s;
      }
      return re * re + im * im;
    },
  };
}

/** Filters one after the other. */
export function chain(...filters: Filter[]): Filter {
  return {
    step(x) {
      for (const filter of filters) x = filter.step(x);
      return x;
    },
    power: (hz) => filters.reduce((product, filter) => product * filter.power(hz), 1),
  };
}

/** Noise of unit root mean square and its one-sided spectral density, 1/Hz. */
export interface ColouredNoise {
  next(): number;
  density(hz: number): number;
}

export function colouredNoise(
  random: RandomStream,
  filter: Filter,
  sampleRateHz: number,
): ColouredNoise {
  // The steep end is at low frequencies: integrate on a grid that is fine there.
  const steps = 4000;
  const top = sampleRateHz / 2;
  let total = 0;
  let before = 0;
  let powerBefore = filter.power(0);
  for (let i = 1; i <= steps; i++) {
    const hz = top * (i / steps) ** 4;
    const power = filter.power(hz);
    total += ((power + powerBefore) / 2) * (hz - before);
    before = hz;
    powerBefore = power;
  }
  // White uniform noise of variance 1/12 has the density (1/12)/(fs/2).
  const gain = Math.sqrt((12 * top) / total);
  return {
    next: () => gain * filter.step(random.uniform() - 0.5),
    density: (hz) => filter.power(hz) / total,
  };
}

/** Width of the critical band about a frequency, Hz (Zwicker and Terhardt 1980; used by ECMA-418-1). */
export function criticalBandHz(hz: number): number {
  return 25 + 75 * (1 + 1.4 * (hz / 1000) ** 2) ** 0.69;
}

/** Power of a density in the critical band centred on a frequency. */
export function bandPower(density: (hz: number) => number, hz: number): number {
  const width = criticalBandHz(hz);
  const parts = 16;
  let sum = 0;
  for (let i = 0; i < parts; i++) {
    sum += density(Math.max(0, hz + width * ((i + 0.5) / parts - 0.5)));
  }
  return (sum * width) / parts;
}
