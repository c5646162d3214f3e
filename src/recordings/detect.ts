import type { Recording } from '../core/evidence/index.ts';
import type { Problem } from '../core/units/index.ts';
import { LapbenchError } from '../core/units/index.ts';
import { hasFitMark } from './fit-structure.ts';

/** What the content of a file looks like, whatever its name says. */
export type Content = 'fit' | 'xml' | 'csv';

const packed: readonly { name: string; mark: readonly number[] }[] = [
  { name: 'gzip', mark: [0x1f, 0x8b] },
  { name: 'zip', mark: [0x50, 0x4b, 0x03, 0x04] },
];

/**
 * Text as UTF-8 without a byte order mark (UTF-16 with a mark is brought to UTF-8), other bytes as they are.
 */
export function withoutMark(bytes: Uint8Array): Uint8Array {
  if (bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf) return bytes.subarray(3);
  const utf16 =
    bytes[0] === 0xff && bytes[1] === 0xfe
      ? 'utf-16le'
      : bytes[0] === 0xfe && bytes[1] === 0xff
        ? 'utf-16be'
        : null;
  return utf16 === null ? bytes : new TextEncoder().encode(new TextDecoder(utf16).decode(bytes));
}

/**
 * Tells the format by the first bytes.
 *
 * @throws LapbenchError `format-unknown` for packed files and for bytes that are neither text nor FIT.
 */
export function detectContent(bytes: Uint8Array, file: string): Content {
  if (hasFitMark(bytes)) return 'fit';
  for (const { name, mark } of packed) {
    if (mark.every((byte, i) => bytes[i] === byte)) {
      throw new LapbenchError({
        code: 'format-unknown',
        file,
        message: `The file is packed with ${name}.`,
        remedy: 'Unpack it first.',
      });
    }
  }
  const head = bytes.subarray(0, 4096);
  if (head.includes(0)) {
    throw new LapbenchError({
      code: hasName(file, '.fit') ? 'format-damaged' : 'format-unknown',
      file,
      place: { byte: 0 },
      message: hasName(file, '.fit')
        ? 'The file is named .fit but does not begin like one.'
        : 'The file is neither text nor a FIT recording.',
      remedy: 'Give a FIT, TCX, GPX or CSV recording; copy it from the device again if it was one.',
    });
  }
  const first = head.find((byte) => byte > 32);
  return first === 0x3c ? 'xml' : 'csv';
}

/** A warning when the name of the file says another format than its content. */
export function nameWarning(file: string, format: Recording['format']): Problem[] {
  const ending = /\.(fit|tcx|gpx|csv)$/i.exec(file)?.[1].toLowerCase();
  if (ending === undefined || ending === format) return [];
  return [
    {
      code: 'format-unknown',
      file,
      message: `The file is named .${ending} but holds ${format.toUpperCase()}; it is read as what it holds.`,
    },
  ];
}

export function hasName(file: string, ending: string): boolean {
  return file.toLowerCase().endsWith(ending);
}
