/** One recording of many plucks, cut into one sound per spoke, each with its partials. */
import type { PluckSound } from '../evidence/index.ts';
import { decayOf } from './decay.ts';
import { realFft } from './fft.ts';
import { decibels } from './levels.ts';
import { runningMedian } from './noise-floor.ts';
import { findOnsets } from './onsets.ts';
import { hannOffset } from './peaks.ts';
import { harmonicity } from './pitch.ts';
import { windowOf } from './window.ts';

export interface PluckOptions {
  /** Two strokes closer than this are one, default 0.15 s. */
  minimumGapS?: number;
  /** Partials are looked for between these, default 70 Hz and 8 kHz. */
  lowestHz?: number;
  highestHz?: number;
  /** Partials kept per pluck, default 12. */
  mostPartials?: number;
}

/** The stroke itself is noise: partials are measured from here on. */
const attackS = 0.015;
const longestS = 1;
const shortestS = 0.05;

/**
 * Finds strokes and describes each: partials (strongest first) with frequency, level when struck, decay and Q; which of them is
 * the pitch; how far it rings. A tap or knock is kept and told by `ringing` near 0 and a doubt in words. Samples: one channel,
 * ±1 full scale, all in memory (a few minutes). Throws RangeError for a sampling rate outside 1 kHz to 1 MHz.
 */
export function findPlucks(
  samples: Float32Array,
  sampleRateHz: number,
  options: PluckOptions = {},
): PluckSound[] {
  if (!(sampleRateHz >= 1000 && sampleRateHz <= 1e6))
    throw new RangeError(`a sampling rate of ${sampleRateHz} Hz`);
  const { strokes } = findOnsets(samples, sampleRateHz, options.minimumGapS ?? 0.15);
  return strokes.map(({ from, to }) => describe(samples, sampleRateHz, from, to, options));
}

function describe(
  samples: Float32Array,
  sampleRateHz: number,
  from: number,
  to: number,
  options: PluckOptions,
): PluckSound {
  const start = Math.min(to, from + Math.round(attackS * sampleRateHz));
  const sound = samples.subarray(start, Math.min(to, start + Math.round(longestS * sampleRateHz)));
  const base = { atS: from / sampleRateHz, endS: (start + sound.length) / sampleRateHz };
  const nothing = (doubt: string): PluckSound => ({
    ...base,
    partials: [],
    fundamental: 0,
    ringing: 0,
    doubts: [doubt],
  });
  if (sound.length < shortestS * sampleRateHz)
    return nothing('gone after less than 65 ms: a tap or a damped spoke');

  const rough = spectrumPeaks(sound, sampleRateHz, options);
  if (rough.length === 0) return nothing('no tone stands out: a tap or a knock');
  const partials = [];
  for (const peak of rough) {
    const others = rough.filter(
      (other) => other !== peak && other.amplitude > 0.03 * peak.amplitude,
    );
    const clearanceHz = Math.min(
      peak.hz / 2,
      ...others.map((other) => Math.abs(other.hz - peak.hz)),
    );
    const decay = decayOf(sound, sampleRateHz, peak.hz, {
      clearanceHz,
      noiseDensity: peak.noiseDensity,
    });
    if (decay === null || Math.abs(decay.hz - peak.hz) > clearanceHz / 2) continue;
    partials.push({ ...decay, levelDb: decibels(decay.amplitude / Math.SQRT2) });
  }
  if (partials.length === 0) return nothing('no tone stands out for long enough to be measured');
  partials.sort((a, b) => b.amplitude - a.amplitude);
  const { fundamental, fits } = harmonicity(partials);
  const ringing = ringingOf(partials);
  const doubts: string[] = [];
  if (ringing < 0.3) doubts.push('it hardly rings: a tap, a knock or a damped spoke');
  if (fits < 0.6) doubts.push('its partials do not make one series: more than one spoke may sound');
  return {
    ...base,
    partials: partials.map(({ hz, standardUncertaintyHz, levelDb, q, decayS }) => ({
      hz,
      standardUncertaintyHz,
      levelDb,
      q,
      decayS,
    })),
    fundamental,
    ringing,
    doubts,
  };
}

interface RoughPeak {
  hz: number;
  amplitude: number;
  noiseDensity: number;
}

/** Maxima of one Hann spectrum over the whole sound, well above the running median around them. */
function spectrumPeaks(
  sound: Float32Array,
  sampleRateHz: number,
  options: PluckOptions,
): RoughPeak[] {
  const n = sound.length;
  const size = 2 ** Math.ceil(Math.log2(n));
  const window = windowOf('hann', n);
  const frame = new Float64Array(size);
  for (let i = 0; i < n; i++) frame[i] = sound[i] * window[i];
  const spectrum = new Float64Array(size + 2);
  realFft(size).transform(frame, spectrum);
  const power = Float64Array.from(
    { length: size / 2 + 1 },
    (_, k) => spectrum[2 * k] ** 2 + spectrum[2 * k + 1] ** 2,
  );
  const binHz = sampleRateHz / size;
  const floor = new Float64Array(power.length);
  runningMedian(power, floor, Math.max(8, Math.round(60 / binHz)));
  const low = Math.max(2, Math.ceil((options.lowestHz ?? 70) / binHz));
  const high = Math.min(power.length - 3, (options.highestHz ?? 8000) / binHz);
  const found: (RoughPeak & { power: number })[] = [];
  for (let k = low; k < high; k++) {
    const p = power[k];
    if (!(p > power[k - 1] && p >= power[k + 1] && p > 30 * floor[k])) continue;
    const at =
      k + hannOffset(Math.sqrt(power[k - 1]), Math.sqrt(p), Math.sqrt(power[k + 1])) * (n / size);
    found.push({
      hz: at * binHz,
      power: p,
      amplitude: (4 * Math.sqrt(p)) / n,
      noiseDensity: ((floor[k] / Math.LN2) * 2) / (sampleRateHz * 0.375 * n),
    });
  }
  found.sort((a, b) => b.power - a.power);
  const kept: typeof found = [];
  const apart = (5 * sampleRateHz) / n;
  for (const peak of found) {
    if (kept.length >= (options.mostPartials ?? 12)) break;
    if (peak.power < 1e-6 * found[0].power) break;
    if (kept.every((other) => Math.abs(other.hz - peak.hz) > apart)) kept.push(peak);
  }
  return kept;
}

/** 0 to 1: Q of the partials against 40, weighted by amplitude; those that do not decay measurably count as ringing. */
function ringingOf(partials: readonly { amplitude: number; q: number | null }[]): number {
  let sum = 0;
  let all = 0;
  for (const { amplitude, q } of partials) {
    const share = q === null ? 1 : (q * q) / (q * q + 1600);
    sum += amplitude * share;
    all += amplitude;
  }
  return sum / all;
}
