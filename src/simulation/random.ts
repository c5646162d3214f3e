/**
 * Seeded random numbers: the same seed gives the same invented day on every machine.
 */

/** A stream of random numbers. */
export interface RandomStream {
  /** Uniform on [0, 1). */
  uniform(): number;
  /** Normal deviate of mean 0 and standard deviation 1. */
  normal(): number;
}

/**
 * A stream for one purpose. Different purposes of one seed get unrelated streams, so that switching
 * one sensor off leaves the wind and the ride as they were.
 *
 * Generator: sfc32 (Doty-Humphrey, PractRand), from memory; normal deviates by the polar method
 * (Marsaglia and Bray 1964).
 */
export function randomStream(seed: number, purpose: string): RandomStream {
  let a = mix(seed | 0, 0x9e3779b9);
  let b = mix(Math.floor(seed / 2 ** 32) | 0, 0x243f6a88);
  let c = 0x6a09e667;
  for (let i = 0; i < purpose.length; i++) c = mix(c ^ purpose.charCodeAt(i), 0xb7e15162);
  let counter = 1;

  const next = (): number => {
    const t = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (c << 21) | (c >>> 11);
    c = (c + t) | 0;
    return t >>> 0;
  };
  for (let i = 0; i < 16; i++) next();

  const uniform = (): number => next() / 2 ** 32;
  let spare: number | null = null;
  const normal = (): number => {
    if (spare !== null) {
      const value = spare;
      spare = null;
      return value;
    }
    for (;;) {
      const x = 2 * uniform() - 1;
      const y = 2 * uniform() - 1;
      const s = x * x + y * y;
      if (s >= 1 || s === 0) continue;
      const factor = Math.sqrt((-2 * Math.log(s)) / s);
      spare = y * factor;
      return x * factor;
    }
  };
  return { uniform, normal };
}

function mix(value: number, salt: number): number {
  let h = (value ^ salt) | 0;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) | 0;
}

/** A value that wanders about zero and forgets with a time constant. */
export interface Wander {
  value: number;
  step(dtS: number): number;
}

/**
 * Ornstein-Uhlenbeck process, stepped exactly whatever the step (Uhlenbeck and Ornstein 1930):
 * stationary standard deviation `sd`, autocorrelation exp(-lag/timeScaleS). Starts stationary.
 */
export function wander(random: RandomStream, sd: number, timeScaleS: number): Wander {
  let lastStepS = NaN;
  let keep = 0;
  let kick = 0;
  return {
    value: sd * random.normal(),
    step(dtS) {
      if (dtS !== lastStepS) {
        lastStepS = dtS;
        keep = Math.exp(-dtS / timeScaleS);
        kick = sd * Math.sqrt(1 - keep * keep);
      }
      this.value = keep * this.value + kick * random.normal();
      return this.value;
    },
  };
}
