import type { CellFormat, CellKind } from './csv-cell.ts';
import { readCell } from './csv-cell.ts';

const lineFeed = 10;
const carriageReturn = 13;
const space = 32;
const plus = 43;
const comma = 44;
const minus = 45;
const dot = 46;
const zero = 48;
const hash = 35;

/** As written, so that each is exact. */
const powersOfTen = [
  1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
];

/** One column to take out of the rows. */
export interface WantedColumn {
  /** Which cell of a row, from 0. */
  cell: number;
  format: CellFormat;
  values: Float64Array;
  /** Count of cells that were no number, and the first of them. */
  faults: Record<
    Exclude<CellKind, 'number' | 'empty'>,
    { count: number; line: number; text: string }
  >;
}

/** What was met while going through the rows. */
export interface ScanResult {
  rows: number;
  /** Rows with fewer or more cells than the header. */
  uneven: { fewer: number; more: number; line: number };
}

export function wantedColumn(cell: number, rows: number, format: CellFormat): WantedColumn {
  const none = () => ({ count: 0, line: 0, text: '' });
  return {
    cell,
    format,
    values: new Float64Array(rows).fill(NaN),
    faults: { 'not-finite': none(), text: none() },
  };
}

/** Puts a cell that is no plain number where it belongs. */
export function takeCell(column: WantedColumn, row: number, line: number, text: string): void {
  const { value, kind } = readCell(text, column.format);
  column.values[row] = value;
  if (kind !== 'text' && kind !== 'not-finite') return;
  const fault = column.faults[kind];
  if (fault.count === 0) {
    fault.line = line;
    fault.text = text.trim().slice(0, 40);
  }
  fault.count += 1;
}

/**
 * Reads the rows of a CSV body without quotes straight from its bytes. Plain decimal numbers of up to 15
 * digits are read here, exactly (an integer below 2^53 divided by a power of ten up to 10^22 is correctly
 * rounded); everything else goes through `readCell`, so the values equal those of the slow way.
 *
 * Blank lines and lines that begin with `#` are skipped. `columns` are by cell number, null where not wanted.
 */
export function scanRows(
  bytes: Uint8Array,
  from: number,
  firstLine: number,
  separator: number,
  cellsInHeader: number,
  columns: readonly (WantedColumn | null)[],
): ScanResult {
  const decoder = new TextDecoder();
  const end = bytes.length;
  const uneven = { fewer: 0, more: 0, line: 0 };
  let at = from;
  let line = firstLine;
  let row = 0;
  while (at < end) {
    if (bytes[at] === hash || bytes[at] === lineFeed || bytes[at] === carriageReturn) {
      while (at < end && bytes[at] !== lineFeed) at += 1;
      at += 1;
      line += 1;
      continue;
    }
    let cell = 0;
    for (;;) {
      const column = cell < cellsInHeader ? columns[cell] : null;
      const start = at;
      if (column === null) {
        while (at < end && bytes[at] !== separator && bytes[at] !== lineFeed) at += 1;
      } else {
        const decimal = column.format.decimalComma ? comma : dot;
        while (bytes[at] === space && at < end) at += 1;
        let sign = 1;
        if (bytes[at] === minus || bytes[at] === plus) {
          if (bytes[at] === minus) sign = -1;
          at += 1;
        }
        let mantissa = 0;
        let digits = 0;
        let decimals = -1;
        for (; at < end; at += 1) {
          const byte = bytes[at];
          const digit = byte - zero;
          if (digit >= 0 && digit <= 9) {
            mantissa = mantissa * 10 + digit;
            digits += 1;
            if (decimals >= 0) decimals += 1;
          } else if ((byte === dot || byte === decimal) && decimals < 0) decimals = 0;
          else break;
        }
        // A carriage return counts as the end only where the line feed follows.
        const stopped =
          at < end && !(bytes[at] === carriageReturn && at + 1 === end) ? bytes[at] : lineFeed;
        const ended =
          stopped === separator ||
          stopped === lineFeed ||
          (stopped === carriageReturn && bytes[at + 1] === lineFeed);
        const plain = ended && digits > 0 && digits <= 15 && !column.format.isoTime;
        while (at < end && bytes[at] !== separator && bytes[at] !== lineFeed) at += 1;
        if (plain)
          column.values[row] = sign * (decimals > 0 ? mantissa / powersOfTen[decimals] : mantissa);
        else takeCell(column, row, line, decoder.decode(bytes.subarray(start, at)));
      }
      cell += 1;
      if (at >= end || bytes[at] === lineFeed) break;
      at += 1;
    }
    at += 1;
    if (cell !== cellsInHeader) {
      if (uneven.fewer + uneven.more === 0) uneven.line = line;
      if (cell < cellsInHeader) uneven.fewer += 1;
      else uneven.more += 1;
    }
    row += 1;
    line += 1;
  }
  return { rows: row, uneven };
}
