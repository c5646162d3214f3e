/** Where the bytes of a sound come from: a file, a part of a library, an array. */

/** Bytes that can be read from any place; a sound is never in memory as a whole. */
export interface SoundBytes {
  sizeBytes: number;
  /**
   * Up to `length` bytes from `offset` on; fewer only where the bytes end. `room`, of `length` bytes or more, may be
   * filled for the answer instead of new memory, which then holds until `room` is given again.
   */
  read(offset: number, length: number, room?: Uint8Array): Promise<Uint8Array>;
}

/** Bytes that are in memory already, such as a cutting or a test. */
export function bytesInMemory(bytes: Uint8Array): SoundBytes {
  return {
    sizeBytes: bytes.length,
    read: (offset, length) => Promise.resolve(bytes.subarray(offset, offset + length)),
  };
}

/** A view for little- and big-endian numbers on exactly these bytes. */
export function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}

/** Text of one byte a character, such as the name of a chunk; what is not printable becomes `?`. */
export function latin(bytes: Uint8Array, from = 0, to = bytes.length): string {
  let text = '';
  for (let i = from; i < Math.min(to, bytes.length); i++) {
    text += bytes[i] >= 0x20 && bytes[i] < 0x7f ? String.fromCharCode(bytes[i]) : '?';
  }
  return text;
}
