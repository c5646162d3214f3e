/**
 * The outline of a FIT file: where its messages begin and end, without their contents. The library that
 * reads the contents stops at the first fault and gives nothing; with the outline it can be handed the
 * sound part alone. Layout after the published FIT protocol (file header, definition and data messages).
 */

import type { FitWalk } from './fit-walk.ts';
import { walkFit } from './fit-walk.ts';

/** One FIT file within the bytes; several may follow one another. */
export interface FitPart extends FitWalk {
  /** First byte of the header. */
  from: number;
  headerBytes: number;
  /** End of the data as the header says. */
  declaredEnd: number;
  /** The bytes end before the header says. */
  truncated: boolean;
  headerCrc: 'right' | 'wrong' | 'none';
  fileCrc: 'right' | 'wrong' | 'none';
}

/** Whether the bytes at `from` begin like a FIT file. */
export function hasFitMark(bytes: Uint8Array, from = 0): boolean {
  return (
    bytes.length >= from + 12 &&
    bytes[from + 8] === 0x2e &&
    bytes[from + 9] === 0x46 &&
    bytes[from + 10] === 0x49 &&
    bytes[from + 11] === 0x54
  );
}

/**
 * Outlines the FIT file that begins at `from`, or null when none does. Stops once there are more than
 * `maxMessages` messages of the kinds a recording is read from.
 */
export function outlineFit(bytes: Uint8Array, from: number, maxMessages: number): FitPart | null {
  const headerBytes = bytes[from];
  if (!hasFitMark(bytes, from) || (headerBytes !== 12 && headerBytes !== 14)) return null;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const declaredBytes = view.getUint32(from + 4, true);
  // A device that was cut off leaves the size it never filled in at zero.
  const unfinished = declaredBytes === 0;
  const declaredEnd = unfinished ? bytes.length : from + headerBytes + declaredBytes;
  const end = Math.min(declaredEnd, bytes.length);
  const walk = walkFit(bytes, from + headerBytes, end, maxMessages);
  const truncated = unfinished || declaredEnd > bytes.length;
  const storedHeaderCrc =
    headerBytes === 14 && bytes.length >= from + 14 ? view.getUint16(from + 12, true) : 0;
  return {
    from,
    headerBytes,
    declaredEnd,
    truncated,
    ...walk,
    headerCrc:
      storedHeaderCrc === 0
        ? 'none'
        : fitCrc(bytes, from, from + 12) === storedHeaderCrc
          ? 'right'
          : 'wrong',
    fileCrc:
      declaredEnd + 2 > bytes.length
        ? 'none'
        : fitCrc(bytes, from, declaredEnd) === view.getUint16(declaredEnd, true)
          ? 'right'
          : 'wrong',
  };
}

/** CRC-16 with the reflected polynomial 0xA001, one entry a byte. */
const crcTable = Uint16Array.from({ length: 256 }, (_, byte) => {
  let crc = byte;
  for (let bit = 0; bit < 8; bit += 1) crc = (crc & 1) !== 0 ? (crc >> 1) ^ 0xa001 : crc >> 1;
  return crc;
});

/** Checksum of the FIT protocol over bytes `from` to `to`. */
export function fitCrc(bytes: Uint8Array, from: number, to: number): number {
  let crc = 0;
  for (let i = from; i < to; i += 1) crc = (crc >> 8) ^ crcTable[(crc ^ bytes[i]) & 255];
  return crc;
}
