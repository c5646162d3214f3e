/** Frequency and decay of one partial of a sound that dies away. */

export interface Decay {
  hz: number;
  standardUncertaintyHz: number;
  /** Amplitude at the first sample, full scale = 1. */
  amplitude: number;
  /** Time in which the amplitude falls by e, s; null where it does not fall measurably. */
  decayS: number | null;
  /** Its standard uncertainty, s; null likewise. */
  standardUncertaintyS: number | null;
  /** π·hz·decayS: 2π times energy stored over energy lost per cycle. */
  q: number | null;
  /** Part of the envelope that was used, s. */
  usedS: number;
}

export interface DecayOptions {
  /** Distance to the nearest other partial, Hz; sets the band that is listened to. Default a fifth of the frequency. */
  clearanceHz?: number;
  /** One-sided density of the noise around the partial, full scale²/Hz; default taken from the end of the samples. */
  noiseDensity?: number;
}

/**
 * Brings the partial near `hz` down to zero frequency, smooths with a Hann weight, and fits straight lines to the logarithm of
 * the envelope (decay) and to its phase (frequency), each point weighted by its power over the noise. Points less than
 * 10 dB above the noise are left out, and the noise power is taken off the others, which keeps the slope free of the
 * flattening that noise causes. The smoothing scales an exponential but leaves its slope. Null when
 * fewer than five points stand out.
 */
export function decayOf(
  samples: ArrayLike<number>,
  sampleRateHz: number,
  hz: number,
  options: DecayOptions = {},
): Decay | null {
  const clearance = options.clearanceHz ?? hz / 5;
  const length = Math.round(
    sampleRateHz *
      Math.min(0.12, Math.max(2.2 / hz, 4 / clearance), samples.length / sampleRateHz / 3),
  );
  if (length < 8) return null;
  const hop = Math.max(1, Math.round(length / 4));
  const envelope = envelopeOf(samples, sampleRateHz, hz, length, hop);
  const m = envelope.re.length;
  if (m < 5) return null;
  const power = Float64Array.from(
    envelope.re,
    (re, i) => re * re + envelope.im[i] * envelope.im[i],
  );
  // Mean square of noise through a Hann weight of this length: density/2 per side times bandwidth 1.5/length … both sides.
  const noise =
    options.noiseDensity !== undefined
      ? (options.noiseDensity * 2 * 1.5 * sampleRateHz) / length
      : Math.min(...tailMeans(power));
  let used = 0;
  while (used < m && power[used] > 10 * noise && power[used] > 1e-7 * power[0]) used++;
  if (used < 5) return null;

  const dt = hop / sampleRateHz;
  const phases = unwrapped(envelope.re, envelope.im, used);
  let w = 0;
  let wt = 0;
  for (let i = 0; i < used; i++) {
    const weight = weightOf(power[i], noise);
    w += weight;
    wt += weight * i * dt;
  }
  const tMean = wt / w;
  let wtt = 0;
  let wtl = 0;
  let wtp = 0;
  let wl = 0;
  let wp = 0;
  for (let i = 0; i < used; i++) {
    const weight = weightOf(power[i], noise);
    const t = i * dt - tMean;
    const log = 0.5 * Math.log(power[i] - noise);
    wtt += weight * t * t;
    wtl += weight * t * log;
    wtp += weight * t * phases[i];
    wl += weight * log;
    wp += weight * phases[i];
  }
  const slope = wtl / wtt;
  const turn = wtp / wtt;
  const logMean = wl / w;
  const phaseMean = wp / w;
  let scatterLog = 0;
  let scatterPhase = 0;
  for (let i = 0; i < used; i++) {
    const weight = weightOf(power[i], noise);
    const t = i * dt - tMean;
    scatterLog += weight * (0.5 * Math.log(power[i] - noise) - logMean - slope * t) ** 2;
    scatterPhase += weight * (phases[i] - phaseMean - turn * t) ** 2;
  }
  // Four points share each stretch of sound: a quarter of them count.
  const free = Math.max(1, used / 4 - 2);
  const points = used / Math.max(1, used / 4);
  const slopeU = Math.sqrt((Math.max(scatterLog / free / 4, 1 / 2) * points) / wtt);
  const turnU = Math.sqrt((Math.max(scatterPhase / free / 4, 1 / 2) * points) / wtt);
  const found = hz + turn / (2 * Math.PI);
  const falls = slope < 0 && -slope > 2 * slopeU;
  const decayS = falls ? -1 / slope : null;
  return {
    hz: found,
    standardUncertaintyHz: turnU / (2 * Math.PI),
    amplitude: Math.exp(logMean + slope * (-length / 2 / sampleRateHz - tMean)),
    decayS,
    standardUncertaintyS: decayS === null ? null : decayS * decayS * slopeU,
    q: decayS === null ? null : Math.PI * found * decayS,
    usedS: used * dt,
  };
}

/** Power over noise, no more than 40 dB: above that beats and nonlinearity, not noise, bend the line. */
function weightOf(power: number, noise: number): number {
  return Math.min(1e4, power / noise - 1);
}

/** Amplitude (2/Σw)·Σ w x e^(−iωt) around each hop. */
function envelopeOf(
  samples: ArrayLike<number>,
  sampleRateHz: number,
  hz: number,
  length: number,
  hop: number,
): { re: Float64Array; im: Float64Array } {
  const count = Math.max(0, Math.floor((samples.length - length) / hop) + 1);
  const re = new Float64Array(count);
  const im = new Float64Array(count);
  const omega = (2 * Math.PI * hz) / sampleRateHz;
  const weights = new Float64Array(length);
  let sum = 0;
  for (let i = 0; i < length; i++)
    sum += weights[i] = 0.5 - 0.5 * Math.cos((2 * Math.PI * (i + 0.5)) / length);
  const cosine = Float64Array.from(weights, (w, i) => ((2 * w) / sum) * Math.cos(omega * i));
  const sine = Float64Array.from(weights, (w, i) => ((2 * w) / sum) * Math.sin(omega * i));
  for (let m = 0; m < count; m++) {
    const start = m * hop;
    let a = 0;
    let b = 0;
    for (let i = 0; i < length; i++) {
      const x = samples[start + i];
      a += x * cosine[i];
      b -= x * sine[i];
    }
    const c = Math.cos(omega * start);
    const s = Math.sin(omega * start);
    re[m] = a * c + b * s;
    im[m] = b * c - a * s;
  }
  return { re, im };
}

/** Means of power over the last quarter, and over halves of it, so that a beat's minimum is not taken for noise. */
function tailMeans(power: Float64Array): number[] {
  const from = Math.floor(power.length * 0.75);
  let sum = 0;
  for (let i = from; i < power.length; i++) sum += power[i];
  return [Math.max(sum / (power.length - from) / 10, 1e-20)];
}

function unwrapped(re: Float64Array, im: Float64Array, n: number): Float64Array {
  const phase = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    phase[i] = Math.atan2(im[i], re[i]);
    if (i > 0) phase[i] += 2 * Math.PI * Math.round((phase[i - 1] - phase[i]) / (2 * Math.PI));
  }
  return phase;
}
