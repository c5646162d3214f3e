/** How a cell of text is read as a number. */
export interface CellFormat {
  /** Decimal comma: the separator is not a comma, so a comma in a cell is a decimal mark. */
  decimalComma: boolean;
  /** The cell is a date and time, ISO 8601, read as seconds since 1970-01-01 UTC. */
  isoTime: boolean;
}

/** What a cell held: a number, nothing, a number that is not finite, or text that is no number. */
export type CellKind = 'number' | 'empty' | 'not-finite' | 'text';

const emptyWords = new Set(['', '-', '--', 'na', 'n/a', 'null', 'none']);
const notFiniteWords = /^[+-]?(nan|inf|infinity)$/;
const plainNumber = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;
/** Date, `T` or a space, time; zone optional (UTC when absent). */
const isoTime =
  /^(\d{4}-\d{2}-\d{2})[T ](\d{2}:\d{2}(?::\d{2}(?:[.,]\d+)?)?)(Z|[+-]\d{2}:?\d{2})?$/i;

/** Reads one cell; `value` is NaN unless `kind` is `number`. */
export function readCell(text: string, format: CellFormat): { value: number; kind: CellKind } {
  const cell = text.trim();
  if (emptyWords.has(cell.toLowerCase())) return { value: NaN, kind: 'empty' };
  if (format.isoTime) {
    const value = readIsoTime(cell);
    return { value, kind: Number.isNaN(value) ? 'text' : 'number' };
  }
  const decimal = format.decimalComma ? cell.replace(',', '.') : cell;
  if (plainNumber.test(decimal)) {
    const value = Number(decimal);
    return Number.isFinite(value) ? { value, kind: 'number' } : { value: NaN, kind: 'not-finite' };
  }
  return { value: NaN, kind: notFiniteWords.test(cell.toLowerCase()) ? 'not-finite' : 'text' };
}

/** Seconds since 1970-01-01 UTC of an ISO 8601 date and time, NaN when it is none. */
export function readIsoTime(text: string): number {
  const parts = isoTime.exec(text.trim());
  if (parts === null) return NaN;
  const [, date, time, zone = 'Z'] = parts;
  const [clock, fraction = ''] = time.split(/[.,]/);
  const at = Date.parse(
    `${date}T${clock.length === 5 ? `${clock}:00` : clock}${zone.toUpperCase().replace(/^(.\d\d)(\d\d)$/, '$1:$2')}`,
  );
  return at / 1000 + (fraction === '' ? 0 : Number(`0.${fraction}`));
}
