import Papa from 'papaparse';
import type { ColumnMap } from '../core/evidence/index.ts';
import type { Problem } from '../core/units/index.ts';
import { LapbenchError } from '../core/units/index.ts';
import { readIsoTime } from './csv-cell.ts';
import type { Header, HeaderColumn } from './csv-header.ts';
import { readHeader } from './csv-header.ts';
import type { ScanResult, WantedColumn } from './csv-scan.ts';
import { scanRows, takeCell, wantedColumn } from './csv-scan.ts';
import type { RecordingLimits } from './limits.ts';
import { missingColumn } from './raw-samples.ts';
import type { RawLapMark, RawSamples } from './raw-samples.ts';

const lineFeed = 10;
const carriageReturn = 13;
const quote = 34;
const hash = 35;
/** A header row longer than this is no header row. */
const longestHeader = 65_536;
/** Numbers this large in a time column are seconds since 1970 (this one is in 1985). */
const earliestEpochS = 5e8;

/**
 * Reads a CSV recording (bytes in UTF-8): a header row, then one sample a row.
 *
 * @throws LapbenchError `file-too-large`, `column-missing`, `sheet-unit`, `format-damaged`.
 */
export function readCsv(
  bytes: Uint8Array,
  file: string,
  map: ColumnMap,
  limits: RecordingLimits,
): RawSamples {
  const text =
    bytes.indexOf(lineFeed) === -1
      ? bytes.map((b) => (b === carriageReturn ? lineFeed : b))
      : bytes;
  const rows = countRows(text, file, limits);
  const { header, from, line } = findHeader(text, file, map);
  const wanted = header.columns.map((column) => prepare(column, header, rows, text, from));
  const scan =
    text.indexOf(quote, from) === -1
      ? scanPlain(text, from, line, header, wanted)
      : scanQuoted(text, from, line, header, wanted);
  return assemble(file, header, wanted, scan);
}

/** Counts lines, and refuses the file before it takes memory when there are too many. */
function countRows(text: Uint8Array, file: string, limits: RecordingLimits): number {
  let lines = 1;
  for (let i = 0; i < text.length; i += 1) {
    if (text[i] !== lineFeed) continue;
    lines += 1;
    if (lines > limits.maxSamples + 2) {
      throw new LapbenchError({
        code: 'file-too-large',
        file,
        message: `The file has more than ${limits.maxSamples.toLocaleString('en')} rows.`,
        remedy: 'Cut the recording to the test day, or export it at a lower rate.',
      });
    }
  }
  return lines;
}

/** The first line that is neither blank nor a remark; `from` and `line` are where the rows begin. */
function findHeader(
  text: Uint8Array,
  file: string,
  map: ColumnMap,
): { header: Header; from: number; line: number } {
  let at = 0;
  let line = 1;
  while (at < text.length) {
    const lineEnd = text.indexOf(lineFeed, at);
    const end = lineEnd === -1 ? text.length : lineEnd;
    if (end - at > longestHeader) break;
    const row = new TextDecoder().decode(text.subarray(at, end)).trimEnd();
    if (row.trim() !== '' && text[at] !== hash) {
      return {
        header: readHeader(row, file, line, map),
        from: Math.min(end + 1, text.length),
        line: line + 1,
      };
    }
    at = end + 1;
    line += 1;
  }
  throw new LapbenchError({
    code: 'format-unknown',
    file,
    message: 'The file has no header row.',
    remedy: 'A CSV recording begins with a row of column names such as time_s,speed_mps,power_w.',
  });
}

function prepare(
  column: HeaderColumn,
  header: Header,
  rows: number,
  text: Uint8Array,
  from: number,
): WantedColumn {
  const isoTime =
    column.name === 'time_s' &&
    (column.convert === null || firstTimeIsIso(column, header, text, from));
  return wantedColumn(column.cell, rows, { decimalComma: header.separator !== ',', isoTime });
}

function firstTimeIsIso(
  column: HeaderColumn,
  header: Header,
  text: Uint8Array,
  from: number,
): boolean {
  const lineEnd = text.indexOf(lineFeed, from);
  const end = Math.min(lineEnd === -1 ? text.length : lineEnd, from + longestHeader);
  const row = new TextDecoder().decode(text.subarray(from, end));
  const cells = Papa.parse<string[]>(row, { delimiter: header.separator }).data[0] ?? [];
  return !Number.isNaN(readIsoTime(cells[column.cell] ?? ''));
}

function scanPlain(
  text: Uint8Array,
  from: number,
  line: number,
  header: Header,
  wanted: WantedColumn[],
): ScanResult {
  const byCell = new Array<WantedColumn | null>(header.cells).fill(null);
  for (const column of wanted) byCell[column.cell] = column;
  return scanRows(text, from, line, header.separator.charCodeAt(0), header.cells, byCell);
}

/** The general way, for files with quotes. Line numbers count rows, so a line break in quotes puts them off. */
function scanQuoted(
  text: Uint8Array,
  from: number,
  firstLine: number,
  header: Header,
  wanted: WantedColumn[],
): ScanResult {
  const uneven = { fewer: 0, more: 0, line: 0 };
  let row = 0;
  let line = firstLine;
  Papa.parse<string[]>(new TextDecoder().decode(text.subarray(from)), {
    delimiter: header.separator,
    step: ({ data }) => {
      const blank = data.length === 1 && data[0].trim() === '';
      if (!blank && !data[0].startsWith('#')) {
        for (const column of wanted) takeCell(column, row, line, data[column.cell] ?? '');
        if (data.length !== header.cells) {
          if (uneven.fewer + uneven.more === 0) uneven.line = line;
          if (data.length < header.cells) uneven.fewer += 1;
          else uneven.more += 1;
        }
        row += 1;
      }
      line += 1;
    },
  });
  return { rows: row, uneven };
}

function assemble(
  file: string,
  header: Header,
  wanted: WantedColumn[],
  scan: ScanResult,
): RawSamples {
  const { rows, uneven } = scan;
  if (rows > 0 && uneven.more === rows) {
    throw new LapbenchError({
      code: 'format-damaged',
      file,
      place: { line: uneven.line },
      message: `Every row has more cells than the ${header.cells} columns of the header.`,
      remedy: 'Where numbers are written with a decimal comma, separate the columns by semicolons.',
    });
  }
  const warnings: Problem[] = [];
  const channels: RawSamples['channels'] = {};
  let timeS = missingColumn(rows);
  let laps: Float64Array | null = null;
  header.columns.forEach(({ name, channel, convert }, i) => {
    const { values, faults, format } = wanted[i];
    const column = values.subarray(0, rows);
    if (convert !== null && !format.isoTime)
      for (let k = 0; k < rows; k += 1) column[k] = convert(column[k]);
    for (const { count, line, text } of [faults.text, faults['not-finite']]) {
      if (count === 0) continue;
      warnings.push({
        code: 'value-invalid',
        file,
        place: { line },
        message: `"${text}" in ${name} is no number; ${count} such ${count === 1 ? 'cell is' : 'cells are'} taken as missing.`,
      });
    }
    if (name === 'time_s') timeS = column;
    else if (name === 'lap') laps = column;
    else if (channel !== null) channels[channel] = column;
  });
  if (uneven.fewer + uneven.more > 0) {
    warnings.push({
      code: 'value-invalid',
      file,
      place: { line: uneven.line },
      message: `${uneven.fewer + uneven.more} of ${rows} rows do not have the ${header.cells} cells of the header.`,
      remedy: 'Cells beyond the header are passed over, cells that lack are missing values.',
    });
  }
  return {
    file,
    format: 'csv',
    count: rows,
    timeS,
    hasEpoch: (timeS.find(Number.isFinite) ?? 0) > earliestEpochS,
    channels,
    lapMarks: laps === null ? [] : lapChanges(timeS, laps),
    timerPauses: [],
    warnings,
  };
}

/** A lap mark where the lap number changes, at the first sample with the new number. */
function lapChanges(timeS: Float64Array, laps: Float64Array): RawLapMark[] {
  const marks: RawLapMark[] = [];
  let current = NaN;
  for (let i = 0; i < laps.length; i += 1) {
    if (Number.isNaN(laps[i]) || Number.isNaN(timeS[i])) continue;
    if (!Number.isNaN(current) && laps[i] !== current) marks.push({ timeS: timeS[i], sample: i });
    current = laps[i];
  }
  return marks;
}
