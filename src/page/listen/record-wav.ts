/** Sound as it comes from the microphone, made into a WAV file: 16 bits, one channel. */

/** Sixteen bits of samples of full scale 1; what is louder stays at the limit. */
export function toPcm16(samples: Float32Array): Int16Array<ArrayBuffer> {
  const whole = new Int16Array(samples.length);
  for (let i = 0; i < samples.length; i++) {
    whole[i] = Math.max(-32768, Math.min(32767, Math.round(samples[i] * 32768)));
  }
  return whole;
}

/** Largest sample and root mean square, dB below full scale; silence is -120. */
export function levelsOf(samples: Float32Array): { peakDb: number; rmsDb: number } {
  let peak = 0;
  let sum = 0;
  for (const x of samples) {
    peak = Math.max(peak, Math.abs(x));
    sum += x * x;
  }
  const rms = Math.sqrt(sum / Math.max(1, samples.length));
  return { peakDb: decibels(peak), rmsDb: decibels(rms) };
}

const decibels = (amplitude: number): number => 20 * Math.log10(Math.max(1e-6, amplitude));

/** Body of the `bext` chunk without coding history (EBU Tech 3285, version 1). */
const bextBytes = 602;
export const wavHeadBytes = 12 + 24 + 8 + bextBytes + 8;

/**
 * What stands before the samples in a WAV file. The start, by the clock of this machine and in its own zone, goes
 * into the `bext` chunk (EBU Tech 3285), so that the sound can be laid on a ride by the clocks of both.
 */
export function wavHead(
  dataBytes: number,
  sampleRateHz: number,
  startedAt: Date,
): Uint8Array<ArrayBuffer> {
  const bytes = new Uint8Array(wavHeadBytes);
  const view = new DataView(bytes.buffer);
  const text = (at: number, value: string) => {
    for (let i = 0; i < value.length; i++) bytes[at + i] = value.charCodeAt(i);
  };
  text(0, 'RIFF');
  view.setUint32(4, wavHeadBytes - 8 + dataBytes, true);
  text(8, 'WAVEfmt ');
  view.setUint32(16, 16, true);
  view.setUint16(20, 1, true);
  view.setUint16(22, 1, true);
  view.setUint32(24, sampleRateHz, true);
  view.setUint32(28, 2 * sampleRateHz, true);
  view.setUint16(32, 2, true);
  view.setUint16(34, 16, true);
  text(36, 'bext');
  view.setUint32(40, bextBytes, true);
  const body = 44;
  text(body + 256, 'Lapbench');
  text(body + 320, `${dayOf(startedAt)}${timeOf(startedAt, ':')}`);
  view.setUint16(body + 346, 1, true);
  text(body + bextBytes, 'data');
  view.setUint32(body + bextBytes + 4, dataBytes, true);
  return bytes;
}

/** The whole file; pieces that lie on the disk stay there. */
export function wavFile(pieces: readonly Blob[], sampleRateHz: number, startedAt: Date): Blob {
  const dataBytes = pieces.reduce((sum, piece) => sum + piece.size, 0);
  return new Blob([wavHead(dataBytes, sampleRateHz, startedAt), ...pieces], { type: 'audio/wav' });
}

const two = (value: number): string => String(value).padStart(2, '0');

/** Date by the clock on the wall, 2026-05-17. */
export const dayOf = (when: Date): string =>
  `${when.getFullYear()}-${two(when.getMonth() + 1)}-${two(when.getDate())}`;

/** Time by the clock on the wall, 14:05:09. */
export const timeOf = (when: Date, between = ':'): string =>
  [when.getHours(), when.getMinutes(), when.getSeconds()].map(two).join(between);

/** Join of pieces that were cut from one sound at different times: ends fade within 5 ms, so that no click is heard. */
export function faded(samples: Int16Array, sampleRateHz: number): Int16Array<ArrayBuffer> {
  const soft = Int16Array.from(samples);
  const length = Math.min(Math.round(0.005 * sampleRateHz), Math.floor(soft.length / 2));
  for (let i = 0; i < length; i++) {
    const share = 0.5 - 0.5 * Math.cos((Math.PI * (i + 0.5)) / length);
    soft[i] = Math.round(soft[i] * share);
    soft[soft.length - 1 - i] = Math.round(soft[soft.length - 1 - i] * share);
  }
  return soft;
}
