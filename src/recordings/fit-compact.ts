/**
 * A FIT file without what a ride recording does not need, cut into blocks: so that the library that reads
 * the contents spends its time and memory on the fields that fill channels, a bounded number at a time.
 */
import type { FitWalk } from './fit-walk.ts';
import { fitMessage, messageAt, timestampField } from './fit-walk.ts';
import type { Definition } from './fit-walk.ts';

/** Messages handed over at a time. */
const messagesInBlock = 2_000;

/**
 * Fields of a record that fill channels (numbers from the published profile): time, position, altitude,
 * cadence, distance, speed, power, temperature, enhanced speed and altitude, absolute pressure; and
 * compressed speed and distance, which the library takes apart.
 */
const recordFields = new Set([timestampField, 0, 1, 2, 4, 5, 6, 7, 8, 13, 73, 78, 91]);
const onlyTime = new Set([timestampField]);

/** A definition as it is handed on, and which bytes of its data messages go with it. */
interface Kept {
  definition: Definition;
  bytes: Uint8Array;
  /** Start, end, start, end, … after the header byte. */
  ranges: number[];
}

/** FIT files, each whole in itself, that hold the wanted messages in order. */
export function* compactBlocks(
  bytes: Uint8Array,
  header: Uint8Array,
  walk: FitWalk,
): Generator<Uint8Array> {
  const kept = new Array<Kept | undefined>(16).fill(undefined);
  const definitions = new Array<Definition | undefined>(16).fill(undefined);
  // Descriptions of developer fields, which every block needs from its start.
  const descriptions = new ByteList();
  let block = new ByteList();
  let inBlock = 0;
  for (let span = 0; span < walk.wanted.length; span += 2) {
    const end = walk.wanted[span + 1];
    for (let at = walk.wanted[span]; at < end;) {
      const message = messageAt(bytes, at, end, definitions);
      if (typeof message === 'string') break;
      const describes =
        message.globalNumber === fitMessage.fieldDescription ||
        message.globalNumber === fitMessage.developerDataId;
      if (message.definition !== null) {
        const local = bytes[at] & 15;
        definitions[local] = message.definition;
        const definition = keep(bytes, at, message.definition);
        kept[local] = definition;
        block.add(definition.bytes, 0, definition.bytes.length);
      } else {
        const local = message.compressed ? (bytes[at] >> 5) & 3 : bytes[at] & 15;
        const { ranges, bytes: definitionBytes, definition } = kept[local]!;
        const skipped = message.compressed && definition.timeOffset === 0 ? 4 : 0;
        if (describes) descriptions.add(definitionBytes, 0, definitionBytes.length);
        for (const list of describes ? [block, descriptions] : [block]) {
          list.add(bytes, at, at + 1);
          for (let r = 0; r < ranges.length; r += 2) {
            const from = at + 1 + Math.max(ranges[r] - skipped, 0);
            list.add(bytes, from, at + 1 + ranges[r + 1] - skipped);
          }
        }
        inBlock += 1;
      }
      at += message.size;
      // A compressed time needs the message before it, so such a file stays in one piece.
      if (inBlock >= messagesInBlock && !walk.compressed) {
        yield block.withHeader(header);
        inBlock = 0;
        block = new ByteList();
        block.addAll(descriptions);
        for (const definition of kept)
          if (definition) block.add(definition.bytes, 0, definition.bytes.length);
      }
    }
  }
  yield block.withHeader(header);
}

/** The definition at a byte, less the fields that are not needed. */
function keep(bytes: Uint8Array, at: number, definition: Definition): Kept {
  const wanted =
    definition.globalNumber === fitMessage.record
      ? recordFields
      : new Set<number>(Object.values(fitMessage)).has(definition.globalNumber)
        ? null
        : onlyTime;
  const fields = bytes[at + 5];
  const out: number[] = [];
  const ranges: number[] = [];
  let offset = 0;
  const addRange = (from: number, to: number): void => {
    if (ranges.length > 0 && ranges[ranges.length - 1] === from) ranges[ranges.length - 1] = to;
    else ranges.push(from, to);
  };
  for (let f = at + 6; f < at + 6 + fields * 3; f += 3) {
    const size = bytes[f + 1];
    if (wanted === null || wanted.has(bytes[f])) {
      out.push(bytes[f], size, bytes[f + 2]);
      addRange(offset, offset + size);
    }
    offset += size;
  }
  const developerAt = at + 6 + fields * 3;
  const hasDeveloperFields = (bytes[at] & 0x20) !== 0;
  const developerEnd = hasDeveloperFields ? developerAt + 1 + bytes[developerAt] * 3 : developerAt;
  if (definition.size > offset) addRange(offset, definition.size);
  return {
    definition,
    ranges,
    bytes: Uint8Array.from([
      ...bytes.subarray(at, at + 5),
      out.length / 3,
      ...out,
      ...bytes.subarray(developerAt, developerEnd),
    ]),
  };
}

/** Bytes that grow. */
class ByteList {
  private bytes = new Uint8Array(4096);
  private length = 0;

  add(from: Uint8Array, start: number, end: number): void {
    const needed = this.length + end - start;
    if (needed > this.bytes.length) {
      const grown = new Uint8Array(Math.max(needed, 2 * this.bytes.length));
      grown.set(this.bytes.subarray(0, this.length));
      this.bytes = grown;
    }
    for (let i = start; i < end; i += 1) this.bytes[this.length++] = from[i];
  }

  addAll(other: ByteList): void {
    this.add(other.bytes, 0, other.length);
  }

  /** The bytes as the data of a FIT file whose header is like the one given. */
  withHeader(header: Uint8Array): Uint8Array {
    const file = new Uint8Array(header.length + this.length);
    file.set(header);
    file.set(this.bytes.subarray(0, this.length), header.length);
    new DataView(file.buffer).setUint32(4, this.length, true);
    return file;
  }
}
