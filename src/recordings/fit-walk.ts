/**
 * From message to message through the data of a FIT file, by their sizes alone. Where the messages cease
 * to make sense (a byte lost in a transfer puts all that follows out of step) the way is picked up again
 * at the next place from which several records follow with times that go on.
 */

/** FIT message numbers that a ride recording is read from (from the published profile). */
export const fitMessage = {
  lap: 19,
  record: 20,
  event: 21,
  fieldDescription: 206,
  developerDataId: 207,
} as const;
const wantedMessages = new Set<number>(Object.values(fitMessage));

const compressedTimestampBit = 0x80;
const definitionBit = 0x40;
const developerBit = 0x20;
const reservedBit = 0x10;
/** Number of the time field in every message. */
export const timestampField = 253;

/** Times of neighbouring records differ by less than this, unless the clock was set. */
const goesOnS = 3600;
/** After a fault the next record is at most this much later. */
const longestLossS = 86_400;
/** Records that must follow in step before a place is believed. */
const recordsToBelieve = 5;
/** Messages looked at, of any kind, before a place is given up. */
const mostMessagesToBelieve = 50;
/** Places tried in one file, so that a file of noise is given up soon. */
const mostPlaces = 500_000;

/** What a walk through the messages found. */
export interface FitWalk {
  /** Bytes at which the messages ceased to make sense. */
  faults: number[];
  /** Where the walk ended: the end of the data, the last whole message, or a fault it could not get over. */
  walkedTo: number;
  records: number;
  /** Stretches of bytes that hold the messages a recording is read from: start, end, start, end, … */
  wanted: number[];
  wantedMessages: number;
  /** Some times are compressed: they count from the message before. */
  compressed: boolean;
}

/** What a definition message says of the data messages that follow it. */
export interface Definition {
  globalNumber: number;
  littleEndian: boolean;
  /** Bytes of a data message after its header byte. */
  size: number;
  /** Where the time stands in a data message after its header byte, -1 when it has none. */
  timeOffset: number;
}

/** One message, as far as its outline goes. */
export interface Message {
  size: number;
  globalNumber: number;
  /** What it defines, when it is a definition. */
  definition: Definition | null;
  compressed: boolean;
  /** FIT time, s, NaN when the message has none. */
  timeS: number;
}

/** Walks the bytes `from` to `end`; stops after `maxMessages` messages of the wanted kinds. */
export function walkFit(
  bytes: Uint8Array,
  from: number,
  end: number,
  maxMessages: number,
): FitWalk {
  let definitions = new Array<Definition | undefined>(16).fill(undefined);
  let trustedDefinitions = [...definitions];
  let newDefinitions = false;
  const faults: number[] = [];
  const wanted: number[] = [];
  let count = 0;
  let records = 0;
  let compressed = false;
  let places = 0;
  let lastTimeS = NaN;
  // Messages before this byte are borne out by a record after them.
  let trusted = { end: from, timeS: NaN, records: 0 };
  let at = from;
  while (at < end && count <= maxMessages) {
    const message = messageAt(bytes, at, end, definitions);
    if (message === 'cut off') break;
    if (message === 'fault') {
      faults.push(at);
      const next = compressed ? -1 : findPlace(trusted.end + 1, trusted.timeS);
      if (next === -1) break;
      dropAfter(trusted.end);
      definitions = [...trustedDefinitions];
      newDefinitions = false;
      lastTimeS = NaN;
      records = trusted.records;
      trusted = { ...trusted, end: next };
      at = next;
      continue;
    }
    if (message.definition !== null) {
      definitions[bytes[at] & 15] = message.definition;
      newDefinitions = true;
    } else if (message.globalNumber === fitMessage.record) {
      if (Math.abs(message.timeS - lastTimeS) <= goesOnS) {
        trusted = { end: at, timeS: message.timeS, records };
        if (newDefinitions) trustedDefinitions = [...definitions];
        newDefinitions = false;
      }
      records += 1;
      lastTimeS = message.timeS;
    }
    // A compressed time counts from the message before, whatever kind it is: then all are needed.
    if (message.compressed) compressed = true;
    if (wantedMessages.has(message.globalNumber)) {
      count += 1;
      if (wanted[wanted.length - 1] === at) wanted[wanted.length - 1] = at + message.size;
      else wanted.push(at, at + message.size);
    }
    at += message.size;
  }
  return {
    faults,
    walkedTo: at,
    records,
    wanted: compressed ? [from, faults[0] ?? at] : wanted,
    wantedMessages: count,
    compressed,
  };

  /** Takes back what stands after `byte`. */
  function dropAfter(byte: number): void {
    while (wanted.length > 0 && wanted[wanted.length - 2] >= byte) wanted.length -= 2;
    if (wanted.length > 0) wanted[wanted.length - 1] = Math.min(wanted[wanted.length - 1], byte);
  }

  /** The next place from which records follow in step, -1 when there is none. */
  function findPlace(first: number, timeS: number): number {
    if (Number.isNaN(timeS)) return -1;
    for (let place = first; place < end && places < mostPlaces; place += 1) {
      places += 1;
      let previousS = timeS;
      let inStep = 0;
      let p = place;
      for (let m = 0; m < mostMessagesToBelieve && p < end && inStep < recordsToBelieve; m += 1) {
        const message = messageAt(bytes, p, end, trustedDefinitions);
        if (typeof message === 'string' || message.definition !== null || message.compressed) break;
        if (message.globalNumber === fitMessage.record) {
          const stepS = message.timeS - previousS;
          if (!(stepS >= 0 && stepS <= (inStep === 0 ? longestLossS : goesOnS))) break;
          previousS = message.timeS;
          inStep += 1;
        }
        p += message.size;
      }
      if (inStep === recordsToBelieve) return place;
    }
    return -1;
  }
}

/** The message at a byte, read by the definitions in force. */
export function messageAt(
  bytes: Uint8Array,
  at: number,
  end: number,
  definitions: readonly (Definition | undefined)[],
): Message | 'fault' | 'cut off' {
  const head = bytes[at];
  const compressed = (head & compressedTimestampBit) !== 0;
  if (!compressed && (head & definitionBit) !== 0) {
    const read = readDefinition(bytes, at, end);
    if (typeof read === 'string') return read;
    return { ...read, globalNumber: read.definition.globalNumber, compressed, timeS: NaN };
  }
  const definition = definitions[compressed ? (head >> 5) & 3 : head & 15];
  if (definition === undefined || (!compressed && (head & (reservedBit | developerBit)) !== 0))
    return 'fault';
  const { globalNumber, timeOffset } = definition;
  // A compressed header stands in for a time in first place.
  const size = 1 + definition.size - (compressed && timeOffset === 0 ? 4 : 0);
  if (at + size > end) return 'cut off';
  const timeS =
    compressed || timeOffset === -1
      ? NaN
      : readTime(bytes, at + 1 + timeOffset, definition.littleEndian);
  return { size, globalNumber, definition: null, compressed, timeS };
}

function readTime(bytes: Uint8Array, at: number, littleEndian: boolean): number {
  const [a, b, c, d] = littleEndian ? [3, 2, 1, 0] : [0, 1, 2, 3];
  return bytes[at + a] * 2 ** 24 + (bytes[at + b] << 16) + (bytes[at + c] << 8) + bytes[at + d];
}

function readDefinition(
  bytes: Uint8Array,
  at: number,
  end: number,
): { definition: Definition; size: number } | 'fault' | 'cut off' {
  if (at + 6 > end) return 'cut off';
  if (bytes[at + 2] > 1) return 'fault';
  const littleEndian = bytes[at + 2] === 0;
  const [low, high] = littleEndian ? [at + 3, at + 4] : [at + 4, at + 3];
  const fields = bytes[at + 5];
  let next = at + 6 + fields * 3;
  if (next > end) return 'cut off';
  let size = 0;
  let timeOffset = -1;
  for (let f = at + 6; f < next; f += 3) {
    if (bytes[f] === timestampField && bytes[f + 1] === 4 && timeOffset === -1) timeOffset = size;
    size += bytes[f + 1];
  }
  if ((bytes[at] & developerBit) !== 0) {
    if (next + 1 > end) return 'cut off';
    const first = next + 1;
    next = first + bytes[next] * 3;
    if (next > end) return 'cut off';
    for (let f = first; f < next; f += 3) size += bytes[f + 1];
  }
  return {
    definition: { globalNumber: bytes[low] | (bytes[high] << 8), littleEndian, size, timeOffset },
    size: next - at,
  };
}
