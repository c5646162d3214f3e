/**
 * The outline of a FIT file: where its messages begin and end, without their contents. The library that
 * reads the contents stops at the first fault and gives nothing; with the outline it can be handed the
 * sound part alone. Layout after the published FIT protocol (file header, definition and data messages).
 */

/** FIT message numbers that a ride recording is read from (from the published profile). */
export const fitMessage = {
  lap: 19,
  record: 20,
  event: 21,
  fieldDescription: 206,
  developerDataId: 207,
} as const;

/** One FIT file within the bytes; several may follow one another. */
export interface FitPart {
  /** First byte of the header. */
  from: number;
  headerBytes: number;
  /** End of the data as far as messages are whole. */
  soundEnd: number;
  /** End of the data as the header says. */
  declaredEnd: number;
  /** The bytes end before the header says. */
  truncated: boolean;
  /** Byte at which the messages cease to make sense, null when they are sound. */
  brokenAt: number | null;
  headerCrc: 'right' | 'wrong' | 'none';
  fileCrc: 'right' | 'wrong' | 'none';
  records: number;
  /** Stretches of bytes that hold the messages a recording is read from: start, end, start, end, … */
  wanted: number[];
  wantedMessages: number;
}

const wantedMessages = new Set<number>([
  fitMessage.lap,
  fitMessage.record,
  fitMessage.event,
  fitMessage.fieldDescription,
  fitMessage.developerDataId,
]);

const compressedTimestampBit = 0x80;
const definitionBit = 0x40;
const developerBit = 0x20;
const reservedBit = 0x10;

interface Definition {
  globalNumber: number;
  /** Bytes of a data message after its header byte. */
  size: number;
  /** Whether the first field is the timestamp, which a compressed header leaves out. */
  leadingTimestampSize: number;
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
  const walk = walkMessages(bytes, from + headerBytes, end, maxMessages);
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

function walkMessages(
  bytes: Uint8Array,
  from: number,
  end: number,
  maxMessages: number,
): Pick<FitPart, 'soundEnd' | 'brokenAt' | 'records' | 'wanted' | 'wantedMessages'> {
  const definitions = new Array<Definition | undefined>(16).fill(undefined);
  const wanted: number[] = [];
  let count = 0;
  let records = 0;
  let wholeFile = false;
  let brokenAt: number | null = null;
  let at = from;
  while (at < end && count <= maxMessages) {
    const head = bytes[at];
    const compressed = (head & compressedTimestampBit) !== 0;
    let definition: Definition | undefined;
    let size: number;
    if (!compressed && (head & definitionBit) !== 0) {
      const read = readDefinition(bytes, at, end);
      if (read === null) {
        brokenAt = at;
        break;
      }
      definition = definitions[head & 15] = read;
      size = read.bytes;
    } else {
      definition = definitions[compressed ? (head >> 5) & 3 : head & 15];
      if (
        definition === undefined ||
        (!compressed && (head & (reservedBit | developerBit)) !== 0)
      ) {
        brokenAt = at;
        break;
      }
      size = 1 + definition.size - (compressed ? definition.leadingTimestampSize : 0);
      if (at + size > end) break;
      if (definition.globalNumber === fitMessage.record) records += 1;
      // Compressed timestamps count from the message before, whatever kind it is.
      if (compressed) wholeFile = true;
    }
    if (wantedMessages.has(definition.globalNumber)) {
      count += 1;
      if (wanted[wanted.length - 1] === at) wanted[wanted.length - 1] = at + size;
      else wanted.push(at, at + size);
    }
    at += size;
  }
  return {
    soundEnd: at,
    brokenAt,
    records,
    wanted: wholeFile ? [from, at] : wanted,
    wantedMessages: count,
  };
}

function readDefinition(
  bytes: Uint8Array,
  at: number,
  end: number,
): (Definition & { bytes: number }) | null {
  if (at + 6 > end || bytes[at + 2] > 1) return null;
  const littleEndian = bytes[at + 2] === 0;
  const globalNumber = littleEndian
    ? bytes[at + 3] | (bytes[at + 4] << 8)
    : (bytes[at + 3] << 8) | bytes[at + 4];
  const fields = bytes[at + 5];
  let next = at + 6 + fields * 3;
  let size = 0;
  if (next > end) return null;
  for (let f = 0; f < fields; f += 1) size += bytes[at + 6 + f * 3 + 1];
  if ((bytes[at] & developerBit) !== 0) {
    if (next + 1 > end) return null;
    const developerFields = bytes[next];
    const first = next + 1;
    next = first + developerFields * 3;
    if (next > end) return null;
    for (let f = 0; f < developerFields; f += 1) size += bytes[first + f * 3 + 1];
  }
  const leadingTimestampSize = fields > 0 && bytes[at + 6] === 253 ? bytes[at + 7] : 0;
  return { globalNumber, size, leadingTimestampSize, bytes: next - at };
}

const crcTable = [
  0x0000, 0xcc01, 0xd801, 0x1400, 0xf001, 0x3c00, 0x2800, 0xe401, 0xa001, 0x6c00, 0x7800, 0xb401,
  0x5000, 0x9c01, 0x8801, 0x4400,
];

/** CRC-16 of the FIT protocol over bytes `from` to `to`, two table steps a byte. */
export function fitCrc(bytes: Uint8Array, from: number, to: number): number {
  let crc = 0;
  for (let i = from; i < to; i += 1) {
    crc = (crc >> 4) ^ crcTable[crc & 15] ^ crcTable[bytes[i] & 15];
    crc = (crc >> 4) ^ crcTable[crc & 15] ^ crcTable[bytes[i] >> 4];
  }
  return crc;
}
