import type { NoiseConditions } from './conditions.ts';
import { onePoleHigh } from './filters.ts';

/**
 * What a phone does to a sound: takes away the lowest, turns loud parts down and soft ones up (fast down,
 * slowly up), stops at full scale, rounds to 16 bits. Returns a function that works on blocks in order.
 */
export function recorderOf(
  { gainControl, gainDb, highPassHz }: NoiseConditions['recorder'],
  sampleRateHz: number,
): (block: Float64Array) => Float32Array<ArrayBuffer> {
  const gain = 10 ** (gainDb / 20);
  const high = highPassHz > 0 ? onePoleHigh(highPassHz, sampleRateHz) : null;
  const target = 0.08;
  const up = 1 - Math.exp(-1 / (0.05 * sampleRateHz));
  const down = 1 - Math.exp(-1 / (1.5 * sampleRateHz));
  let level = target;
  return (block) => {
    const out = new Float32Array(block.length);
    for (let k = 0; k < block.length; k++) {
      let x = gain * (high ? high.step(block[k]) : block[k]);
      if (gainControl > 0) {
        const size = Math.abs(x);
        level += (size > level ? up : down) * (size - level);
        x *= (target / (level + 1e-4)) ** gainControl;
      }
      const whole = Math.round(x * 32768);
      out[k] = (whole > 32767 ? 32767 : whole < -32768 ? -32768 : whole) / 32768;
    }
    return out;
  };
}
