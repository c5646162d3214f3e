/** Invented sounds for the tests: seeded, cheap, no part of the code under test. */

/** Uniform numbers in (0, 1): a linear congruential generator with the constants of Numerical Recipes (from memory). */
export function uniform(seed: number): () => number {
  let state = seed | 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) | 0;
    return ((state >>> 0) + 0.5) / 4294967296;
  };
}

/** Normal numbers with variance 1 (Box and Muller 1958). */
export function gaussian(seed: number): () => number {
  const draw = uniform(seed);
  for (let i = 0; i < 10; i++) draw();
  return () => Math.sqrt(-2 * Math.log(draw())) * Math.cos(2 * Math.PI * draw());
}

/** `seconds` of what `sample(i)` gives. */
export function render(
  seconds: number,
  sampleRateHz: number,
  sample: (i: number) => number,
): Float32Array {
  const samples = new Float32Array(Math.round(seconds * sampleRateHz));
  for (let i = 0; i < samples.length; i++) samples[i] = sample(i);
  return samples;
}

/** Noise falling with frequency as wind's does, rising and falling by gusts of seconds. */
export function wind(sampleRateHz: number, seed: number): (i: number) => number {
  const normal = gaussian(seed);
  let slow = 0;
  let low = 0;
  let gust = 0;
  return () => {
    const w = normal();
    if (normal() > 3) gust += normal();
    gust *= 1 - 1 / sampleRateHz;
    slow += (30 / sampleRateHz) * 2 * Math.PI * (w - slow);
    low += (400 / sampleRateHz) * 2 * Math.PI * (w - low);
    return (0.3 * slow + 0.01 * low) * Math.exp(0.8 * Math.tanh(gust)) + 0.0002 * w;
  };
}

/** Bursts of noise, `perSecond` of them with `jitter` of each interval. */
export function chain(
  sampleRateHz: number,
  perSecond: number,
  jitter: number,
  seed: number,
): (i: number) => number {
  const normal = gaussian(seed);
  let next = 0;
  let envelope = 0;
  return (i) => {
    if (i >= next) {
      next += (sampleRateHz / perSecond) * (1 + jitter * normal());
      envelope = 0.03;
    }
    envelope *= Math.exp(-1 / (0.002 * sampleRateHz));
    return envelope * normal() + 0.001 * normal();
  };
}

/** The same tick again and again: a comb of lines. */
export function ticking(
  sampleRateHz: number,
  perSecond: number,
  jitter: number,
  seed: number,
): (i: number) => number {
  const normal = gaussian(seed);
  let next = 0;
  let since = 1e9;
  return (i) => {
    if (i >= next) {
      next += (sampleRateHz / perSecond) * (1 + jitter * normal());
      since = 0;
    }
    const t = since++ / sampleRateHz;
    return 0.03 * Math.exp(-t / 0.001) * Math.sin(2 * Math.PI * 2500 * t) + 0.001 * normal();
  };
}

/** A broad hump of noise about `hz`. */
export function hum(
  sampleRateHz: number,
  hz: number,
  widthHz: number,
  seed: number,
): (i: number) => number {
  const normal = gaussian(seed);
  const r = Math.exp((-Math.PI * widthHz) / sampleRateHz);
  const c = 2 * r * Math.cos((2 * Math.PI * hz) / sampleRateHz);
  let y1 = 0;
  let y2 = 0;
  return () => {
    const y = 0.0005 * normal() + c * y1 - r * r * y2;
    y2 = y1;
    y1 = y;
    return y + 0.001 * normal();
  };
}
