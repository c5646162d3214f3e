import type { ColumnMap, Recording } from '../core/evidence/index.ts';
import { LapbenchError } from '../core/units/index.ts';
import { detectContent, hasName, nameWarning, withoutMark } from './detect.ts';
import type { RecordingLimits } from './limits.ts';
import { defaultLimits } from './limits.ts';
import { normalise } from './normalise.ts';
import type { RawSamples } from './raw-samples.ts';
import { readCsv } from './read-csv.ts';
import { readFit } from './read-fit.ts';
import { readXml } from './read-xml.ts';

export interface ReadOptions {
  /** Which column of a CSV file is which; null or absent: by the standard names. */
  columnMap?: ColumnMap | null;
  limits?: Partial<RecordingLimits>;
  /** Of GPX and TCX: every point, a second apart, whether or not it has a time (a planned road). Default false. */
  route?: boolean;
}

/**
 * Reads one ride recording: FIT, TCX, GPX or CSV, told apart by content.
 *
 * @param bytes the whole file
 * @param file its name, for messages
 * @returns SI columns on one clock; what a person should know about the file is in `warnings`
 * @throws LapbenchError when the file is empty, too large, of no known format or too damaged to use
 */
export function readRecording(
  bytes: Uint8Array,
  file: string,
  options: ReadOptions = {},
): Recording {
  const limits: RecordingLimits = { ...defaultLimits, ...options.limits };
  if (bytes.length === 0) {
    throw new LapbenchError({
      code: 'file-empty',
      file,
      message: 'The file is empty.',
      remedy: 'Copy it from the device again.',
    });
  }
  if (bytes.length > limits.maxBytes) {
    throw new LapbenchError({
      code: 'file-too-large',
      file,
      message: `The file has ${(bytes.length / 2 ** 20).toFixed(0)} MB, more than the ${(limits.maxBytes / 2 ** 20).toFixed(0)} MB that are read.`,
      remedy: 'Cut the recording to the test day.',
    });
  }
  const raw = readRaw(bytes, file, options.columnMap ?? {}, limits, options.route ?? false);
  raw.warnings.unshift(...nameWarning(file, raw.format));
  return normalise(raw);
}

function readRaw(
  bytes: Uint8Array,
  file: string,
  map: ColumnMap,
  limits: RecordingLimits,
  route: boolean,
): RawSamples {
  const plain = withoutMark(bytes);
  const content = detectContent(plain, file);
  if (content === 'fit') return readFit(plain, file, limits);
  if (content === 'xml') return readXml(plain, file, limits, route);
  if (hasName(file, '.csv') || hasName(file, '.txt') || hasName(file, '.tsv'))
    return readCsv(plain, file, map, limits);
  try {
    return readCsv(plain, file, map, limits);
  } catch (error) {
    if (!(error instanceof LapbenchError) || error.problems[0].code === 'file-too-large')
      throw error;
    throw new LapbenchError({
      code: 'format-unknown',
      file,
      message: 'The file holds text that is not a recording.',
      remedy: `Give a FIT, TCX, GPX or CSV recording. (Read as CSV: ${error.problems[0].message})`,
    });
  }
}
