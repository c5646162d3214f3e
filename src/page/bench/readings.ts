/**
 * Readings as the comma-separated text in which they are stored. The page only adds, replaces and takes
 * away lines; what they mean is the server's business, which passes over the same lines as we do.
 */

type Row = Record<string, string>;

export interface Readings {
  /** Names of the columns, lower case. */
  columns: string[];
  rows: Row[];
  /** Line of each row in the text, from 1. */
  lines: number[];
  /** Stands between cells. */
  separator: string;
}

const filled = (line: string): boolean => line.trim() !== '' && !line.startsWith('#');

export function readReadings(text: string): Readings {
  const all = text.replace(/^\uFEFF/, '').split(/\r\n|\n|\r/);
  const places = all.flatMap((line, i) => (filled(line) ? [i] : []));
  const head = all[places[0]] ?? '';
  const separator = [';', '\t', ','].find((one) => head.includes(one)) ?? ',';
  const cellsOf = (line: string) => line.split(separator).map((cell) => cell.trim());
  const columns = cellsOf(head).map((name) => name.toLowerCase().replace(/[\s-]+/g, '_'));
  const rows = places.slice(1).map((i) => {
    const cells = cellsOf(all[i]);
    return Object.fromEntries(columns.map((name, k) => [name, cells[k] ?? '']));
  });
  return { columns, rows, lines: places.slice(1).map((i) => i + 1), separator };
}

/** Whether readings can be added by keys: the text has every column that they need, and no quotes. */
export const takesKeys = ({ columns, rows }: Readings, needed: readonly string[]): boolean =>
  needed.every((name) => columns.includes(name)) &&
  !rows.some((row) => Object.values(row).some((cell) => cell.includes('"')));

const lineOf = ({ columns, separator }: Readings, row: Row): string =>
  columns.map((name) => row[name] ?? '').join(separator);

/** The text with one reading more, its cells in the order of the columns. */
export function withReading(text: string, row: Row): string {
  const start = text === '' || text.endsWith('\n') ? text : `${text}\n`;
  return `${start}${lineOf(readReadings(text), row)}\n`;
}

/** The text with reading `at` (from 0) replaced; cells that the row does not name stay. */
export function withChanged(text: string, at: number, row: Row): string {
  const readings = readReadings(text);
  const line = lineOf(readings, { ...readings.rows[at], ...row });
  return text
    .split('\n')
    .with(readings.lines[at] - 1, line)
    .join('\n');
}

/** The text without some of its readings (from 0). */
export function without(text: string, places: readonly number[]): string {
  const { lines } = readReadings(text);
  const gone = new Set(places.map((at) => lines[at]));
  return text
    .split('\n')
    .filter((_, i) => !gone.has(i + 1))
    .join('\n');
}

/** The text without its last reading; the same text when there is none. */
export const withoutLast = (text: string): string =>
  without(text, [readReadings(text).rows.length - 1]);

/** The text with the names of two columns exchanged in its header. */
export function withExchanged(text: string, one: string, other: string): string {
  const { columns, separator } = readReadings(text);
  const names = columns.map((name) => (name === one ? other : name === other ? one : name));
  const lines = text.split('\n');
  return lines.with(lines.findIndex(filled), names.join(separator)).join('\n');
}

/** `… columns side and reading look swapped` names the two; null where a problem says no such thing. */
export function swappedColumns({ message }: { message: string }): [string, string] | null {
  const names = /\bcolumns (\w+) and (\w+) look swapped/.exec(message);
  return names && [names[1], names[2]];
}

/**
 * What to store when the text was changed here and elsewhere since both had `base`: lines added on one side
 * are added to whatever the other made of the rest. Where both changed the rest, ours stands and `lost` is true.
 */
export function joined(
  base: string,
  ours: string,
  theirs: string,
): { text: string; lost: boolean } {
  if (theirs === base || theirs === ours) return { text: ours, lost: false };
  if (ours.startsWith(base)) return { text: onto(theirs, ours.slice(base.length)), lost: false };
  if (theirs.startsWith(base)) return { text: onto(ours, theirs.slice(base.length)), lost: false };
  return { text: ours, lost: true };
}

const onto = (text: string, added: string): string =>
  `${text}${added === '' || text === '' || text.endsWith('\n') ? '' : '\n'}${added}`;
