/**
 * The boxes of an MP4, M4A or MOV file as far as they lead to its sound: ISO/IEC 14496-12 (base format), 14496-14
 * (esds), Apple's QuickTime File Format (versions of the sound description).
 */
import { LapbenchError } from '../core/units/index.ts';
import { latin, viewOf, type SoundBytes } from './source.ts';

/** The index of a camera's file with hours of picture has some megabytes. */
const mostIndexBytes = 134_217_728;
const mostBoxes = 100_000;

/** One sound track as its tables describe it. Bodies of boxes are kept as they are. */
export interface SoundTrack {
  /** Such as `mp4a`; and what the sample description says, which compressed sounds do not always mean. */
  codec: string;
  sampleRateHz: number;
  channels: number;
  bits: number;
  /** formatSpecificFlags of version 2 descriptions: 1 float, 2 big-endian, 4 signed. */
  flags: number;
  boxes: Map<string, Uint8Array>;
}

export interface Mp4Index {
  tracks: SoundTrack[];
  /** The picture tracks, to name the file rightly. */
  pictures: number;
  /** Samples lie in fragments all over the file instead of in one table. */
  fragmented: boolean;
  /** Creation time of the movie, s since 1970, UTC by the standard; null: not set. */
  createdEpochS: number | null;
  movieHeader: Uint8Array | null;
  tags: Uint8Array | null;
}

/** Finds and reads the index (`moov`), wherever it stands. */
export async function readMp4Index(source: SoundBytes, file: string): Promise<Mp4Index> {
  let at = 0;
  let sawSound = false;
  for (let box = 0; at + 8 <= source.sizeBytes && box < mostBoxes; box++) {
    const head = await source.read(at, 16);
    if (head.length < 8) break;
    const { type, bytes, headBytes } = boxHead(head, source.sizeBytes - at);
    if (bytes < headBytes) break;
    if (type === 'mdat') sawSound = true;
    if (type === 'moov') {
      if (bytes > mostIndexBytes) break;
      const body = await source.read(at + headBytes, bytes - headBytes);
      if (body.length < bytes - headBytes) break;
      return readMovie(body);
    }
    at += bytes;
  }
  throw new LapbenchError(
    sawSound
      ? {
          code: 'format-truncated',
          file,
          message:
            'The index of the file (moov) is missing: the recorder lost power or the copy is not whole.',
          remedy: 'Copy it again; if that does not help, repair it with the recorder’s own means.',
        }
      : {
          code: 'format-damaged',
          file,
          place: { byte: Math.min(at, source.sizeBytes) },
          message: 'The file begins like an MP4, but its boxes are damaged.',
          remedy: 'Copy it again from the recorder.',
        },
  );
}

function boxHead(
  head: Uint8Array,
  room: number,
): { type: string; bytes: number; headBytes: number } {
  const view = viewOf(head);
  const size = view.getUint32(0);
  const type = latin(head, 4, 8);
  if (size === 1 && head.length >= 16)
    return { type, bytes: Number(view.getBigUint64(8)), headBytes: 16 };
  return { type, bytes: size === 0 ? room : size, headBytes: 8 };
}

/** The boxes that follow each other in `bytes`; ends at the first that does not fit. */
function* boxesIn(bytes: Uint8Array): Generator<{ type: string; body: Uint8Array }> {
  for (let at = 0; at + 8 <= bytes.length;) {
    const room = bytes.length - at;
    const { type, bytes: size, headBytes } = boxHead(bytes.subarray(at, at + 16), room);
    if (size < headBytes || size > room) return;
    yield { type, body: bytes.subarray(at + headBytes, at + size) };
    at += size;
  }
}

function readMovie(body: Uint8Array): Mp4Index {
  const index: Mp4Index = {
    tracks: [],
    pictures: 0,
    fragmented: false,
    createdEpochS: null,
    movieHeader: null,
    tags: null,
  };
  for (const { type, body: inner } of boxesIn(body)) {
    if (type === 'mvhd') {
      index.movieHeader = inner;
      index.createdEpochS = creationTime(inner);
    } else if (type === 'mvex') index.fragmented = true;
    else if (type === 'udta') index.tags ??= tagsOf(inner);
    else if (type === 'trak') {
      const boxes = new Map<string, Uint8Array>();
      collect(inner, boxes);
      const handler = boxes.get('hdlr');
      const kind = handler ? latin(handler, 8, 12) : '';
      if (kind === 'vide') index.pictures++;
      const track = kind === 'soun' ? describe(boxes) : null;
      if (track) index.tracks.push(track);
    }
  }
  return index;
}

const containers = new Set(['mdia', 'minf', 'stbl', 'edts']);

function collect(body: Uint8Array, into: Map<string, Uint8Array>): void {
  for (const { type, body: inner } of boxesIn(body)) {
    if (containers.has(type)) collect(inner, into);
    // The handler of the media comes first; QuickTime has another of the data behind it.
    else if (!into.has(type)) into.set(type, inner);
  }
}

/** The first sample description, with the boxes inside it added to those of the track. */
function describe(boxes: Map<string, Uint8Array>): SoundTrack | null {
  const list = boxes.get('stsd');
  const entry = list && [...boxesIn(list.subarray(8))][0];
  if (!entry || entry.body.length < 28) return null;
  const view = viewOf(entry.body);
  const version = view.getUint16(8);
  const track: SoundTrack = {
    codec: entry.type,
    channels: view.getUint16(16),
    bits: view.getUint16(18),
    sampleRateHz: view.getUint16(24),
    flags: 0,
    boxes,
  };
  let head = version === 1 ? 44 : 28;
  if (version === 2 && entry.body.length >= 64) {
    head = Math.max(64, view.getUint32(28) - 8);
    track.sampleRateHz = view.getFloat64(32);
    track.channels = view.getUint32(40);
    track.bits = view.getUint32(48);
    track.flags = view.getUint32(52);
  }
  addInner(entry.body.subarray(head), boxes);
  return track;
}

function addInner(body: Uint8Array, boxes: Map<string, Uint8Array>): void {
  for (const { type, body: inner } of boxesIn(body)) {
    if (type === 'wave') addInner(inner, boxes);
    else if (!boxes.has(type)) boxes.set(type, inner);
  }
}

function tagsOf(userData: Uint8Array): Uint8Array | null {
  for (const { type, body } of boxesIn(userData)) {
    if (type !== 'meta') continue;
    for (const inner of boxesIn(body.subarray(4))) if (inner.type === 'ilst') return inner.body;
  }
  return null;
}

/** Seconds from 1904-01-01, where these files count from, to 1970-01-01. */
const from1904To1970S = 2_082_844_800;

function creationTime(header: Uint8Array): number | null {
  if (header.length < 12) return null;
  const view = viewOf(header);
  const seconds = header[0] === 1 ? Number(view.getBigUint64(4)) : view.getUint32(4);
  const epochS = seconds - from1904To1970S;
  // Recorders without a clock write 0, or their factory's date.
  return epochS > 631_152_000 && epochS < 4_102_444_800 ? epochS : null;
}
