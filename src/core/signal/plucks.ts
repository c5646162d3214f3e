/** One recording of many plucks, cut into one sound per spoke, each with its partials. */
import type { PluckSound } from '../evidence/index.ts';
import { decayOf } from './decay.ts';
import { realFft } from './fft.ts';
import { decibels } from './levels.ts';
import { runningMedian } from './noise-floor.ts';
import { findOnsets } from './onsets.ts';
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
    if (decay === null) continue;
    const strays = Math.max((2 * sampleRateHz) / sound.length, 3 * decay.standardUncertaintyHz);
    if (Math.abs(decay.hz - peak.hz) > Math.min(clearanceHz / 2, strays)) continue;
    // Strings that beat break the phase; the top of the spectrum is then the better frequency.
    const broken = decay.standardUncertaintyHz > peak.uncertaintyHz;
    partials.push({
      ...decay,
      hz: broken ? peak.hz : decay.hz,
      standardUncertaintyHz: Math.min(decay.standardUncertaintyHz, peak.uncertaintyHz),
      levelDb: decibels(decay.amplitude / Math.SQRT2),
    });
  }
  if (partials.length === 0) return nothing('no tone stands out for long enough to be measured');
  partials.sort((a, b) => b.amplitude - a.amplitude);
  const { fundamental, fits, fromSeriesHz } = harmonicity(partials);
  const pitch = partials[fundamental];
  if (
    pitch.q === null &&
    pitch.amplitude < 0.5 * partials[0].amplitude &&
    fromSeriesHz.length > 1
  ) {
    // Weak and beating: the partials above it know the pitch better than it does.
    const sorted = [...fromSeriesHz].sort((a, b) => a - b);
    pitch.hz = sorted[Math.floor(sorted.length / 2)];
    pitch.standardUncertaintyHz = (sorted[sorted.length - 1] - sorted[0]) / 2;
  }
  const doubts: string[] = [];
  const before = amplitudeAt(
    samples,
    sampleRateHz,
    pitch.hz,
    from - Math.round(0.06 * sampleRateHz),
  );
  const sounding = before > 0.7 * amplitudeAt(samples, sampleRateHz, pitch.hz, start);
  if (sounding) doubts.push('its tone was sounding before: a knock while a spoke still rang');
  const ringing = ringingOf(partials) * (sounding ? 0.2 : 1);
  if (ringing < 0.3 && !sounding) doubts.push('it hardly rings: a tap, a knock or a damped spoke');
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
  uncertaintyHz: number;
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
  const highestHz = options.highestHz ?? 8000;
  // Twice to four times as many bins as the sound has, so that a parabola through log magnitudes is exact to 0.01 bin.
  const size = 2 ** Math.ceil(Math.log2(2 * n));
  const binHz = sampleRateHz / size;
  const window = windowOf('hann', n);
  const frame = new Float64Array(size);
  for (let i = 0; i < n; i++) frame[i] = sound[i] * window[i];
  const spectrum = new Float64Array(size + 2);
  realFft(size).transform(frame, spectrum);
  const power = Float64Array.from(
    { length: Math.min(size / 2, Math.ceil((1.05 * highestHz * size) / sampleRateHz)) + 1 },
    (_, k) => spectrum[2 * k] ** 2 + spectrum[2 * k + 1] ** 2,
  );
  const floor = new Float64Array(power.length);
  runningMedian(power, floor, Math.max(8, Math.round(60 / binHz)));
  const low = Math.max(2, Math.ceil((options.lowestHz ?? 70) / binHz));
  const high = Math.min(power.length - 3, highestHz / binHz);
  const found: (RoughPeak & { power: number })[] = [];
  for (let k = low; k < high; k++) {
    const p = power[k];
    if (!(p > power[k - 1] && p >= power[k + 1] && p > 30 * floor[k])) continue;
    const [before, top, after] = [power[k - 1], p, power[k + 1]].map(Math.log);
    const at = k + (0.5 * (before - after)) / (before - 2 * top + after);
    const width = sampleRateHz / n;
    found.push({
      hz: at * binHz,
      uncertaintyHz: width * (0.05 + 0.5 / Math.sqrt(p / floor[k])),
      power: p,
      amplitude: (4 * Math.sqrt(p)) / n,
      noiseDensity: ((floor[k] / Math.LN2) * 2) / (sampleRateHz * 0.375 * n),
    });
  }
  found.sort((a, b) => b.power - a.power);
  const kept: typeof found = [];
  const apart = (5 * sampleRateHz) / n;
  // Skirts of a window that is cut short by the attack: 30 dB down at 5 widths, then 18 dB an octave.
  const skirt = (hz: number): number => 0.001 * (apart / Math.max(apart, hz)) ** 6;
  for (const peak of found) {
    if (kept.length >= (options.mostPartials ?? 12)) break;
    if (peak.power < 1e-6 * found[0].power) break;
    const hidden = kept.some((other) => {
      const distance = Math.abs(other.hz - peak.hz);
      return distance < apart || peak.power < skirt(distance) * other.power;
    });
    if (!hidden) kept.push(peak);
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

/** Amplitude near `hz` in the 50 ms from sample `from` on, Hann-weighted; 0 before the recording began. */
function amplitudeAt(
  samples: Float32Array,
  sampleRateHz: number,
  hz: number,
  from: number,
): number {
  const length = Math.round(0.05 * sampleRateHz);
  let re = 0;
  let im = 0;
  for (let i = Math.max(0, -from); i < length && from + i < samples.length; i++) {
    const x = samples[from + i] * (0.5 - 0.5 * Math.cos((2 * Math.PI * (i + 0.5)) / length));
    const angle = (2 * Math.PI * hz * i) / sampleRateHz;
    re += x * Math.cos(angle);
    im += x * Math.sin(angle);
  }
  return (4 * Math.hypot(re, im)) / length;
}
