/** Small CSV tables from the bench: bounded, every fault with its line, nothing guessed in silence. */
import Papa from 'papaparse';
import { LapbenchError, type Problem } from '../core/units/index.ts';
import { readCell } from './csv-cell.ts';

/** A day at the bench is some hundred rows; the bounds stop hostile text, not people. */
export const benchTableLimits = { characters: 1_000_000, rows: 10_000, problems: 20 };

/** One column that a table may have. */
export interface BenchColumn {
  name: string;
  /** False: may be missing, and cells may be empty. */
  required: boolean;
  /** What a cell holds, for messages. */
  holds: string;
  number: boolean;
}

/** One row: its line in the file, numbers and words by column; null where a cell is empty. */
export interface BenchRow {
  line: number;
  numbers: Record<string, number | null>;
  words: Record<string, string>;
}

/**
 * Reads a table with a header. Comma, semicolon or tab between cells, with semicolon or tab also a decimal
 * comma; blank lines and lines that begin with `#` are passed over, columns not asked for too.
 *
 * @param whatFor What the table is, for messages: `bench readings`.
 * @throws LapbenchError `file-empty`, `file-too-large`, `column-missing` or `value-invalid`, all faults with lines
 */
export function readBenchTable(
  text: string,
  file: string,
  columns: readonly BenchColumn[],
  whatFor: string,
): BenchRow[] {
  const names = columns.map(({ name }) => name).join(', ');
  const refuse = (code: Problem['code'], message: string, remedy: string): never => {
    throw new LapbenchError({ code, file, message, remedy });
  };
  if (text.length > benchTableLimits.characters) {
    refuse(
      'file-too-large',
      `The file has ${text.length} characters; a table of ${whatFor} has at most ${benchTableLimits.characters}.`,
      'Check that this is the table meant.',
    );
  }
  const lines = text.replace(/^\uFEFF/, '').split(/\r\n|\n|\r/);
  const written = lines.flatMap((content, index) =>
    content.trim() === '' || content.startsWith('#') ? [] : [{ content, line: index + 1 }],
  );
  if (written.length === 0) {
    refuse('file-empty', 'The file is empty.', `Begin it with the header ${names}.`);
  }
  if (written.length > benchTableLimits.rows) {
    refuse(
      'file-too-large',
      `The file has ${written.length} rows; a table of ${whatFor} has at most ${benchTableLimits.rows}.`,
      'Check that this is the table meant.',
    );
  }
  const [header, ...body] = written;
  const separator = [';', '\t', ','].find((one) => header.content.includes(one)) ?? ',';
  const cellsOf = (content: string): string[] =>
    (Papa.parse<string[]>(content, { delimiter: separator }).data[0] ?? []).map((cell) =>
      String(cell).trim(),
    );
  const cellOf = placeColumns(cellsOf(header.content), header.line, file, columns);
  if (body.length === 0) {
    refuse('file-empty', `There is a header and no ${whatFor}.`, 'Add one row for each reading.');
  }

  const problems: Problem[] = [];
  const rows = body.map(({ content, line }) => {
    const row: BenchRow = { line, numbers: {}, words: {} };
    const cells = cellsOf(content);
    for (const column of columns) {
      const cell = cellOf.get(column.name);
      const found = cell === undefined ? '' : (cells[cell] ?? '');
      const problem = takeCell(row, column, found, separator !== ',');
      if (problem) problems.push({ code: 'value-invalid', file, place: { line }, ...problem });
    }
    return row;
  });
  if (problems.length > 0) throw new LapbenchError(shortened(problems, file));
  return rows;
}

/** At most so many problems as a person will read, and how many more there are. */
export function shortened(problems: Problem[], file: string): Problem[] {
  const more = problems.length - benchTableLimits.problems;
  if (more <= 0) return problems;
  return [
    ...problems.slice(0, benchTableLimits.problems),
    {
      code: 'value-invalid',
      file,
      message: `There are ${more} more problems.`,
      remedy: 'Mend the ones above first.',
    },
  ];
}

function placeColumns(
  cells: readonly string[],
  line: number,
  file: string,
  columns: readonly BenchColumn[],
): Map<string, number> {
  const written = cells.map((cell) => cell.toLowerCase().replace(/[\s-]+/g, '_'));
  const problems: Problem[] = [];
  const cellOf = new Map<string, number>();
  for (const { name, required, holds } of columns) {
    const places = written.flatMap((cell, index) => (cell === name ? [index] : []));
    const problem = (message: string, remedy: string): void => {
      problems.push({ code: 'column-missing', file, place: { line }, message, remedy });
    };
    if (places.length > 1)
      problem(`The column ${name} is there ${places.length} times.`, 'Keep one of them.');
    else if (places.length === 1) cellOf.set(name, places[0]);
    else if (required) {
      problem(
        `There is no column ${name}; the header has ${cells.map((cell) => JSON.stringify(cell.slice(0, 30))).join(', ')}.`,
        `Name the column with ${holds} "${name}".`,
      );
    }
  }
  if (problems.length > 0) throw new LapbenchError(problems);
  return cellOf;
}

function takeCell(
  row: BenchRow,
  { name, required, holds, number }: BenchColumn,
  cell: string,
  decimalComma: boolean,
): { message: string; remedy: string } | null {
  row.words[name] = cell.slice(0, 60);
  if (!number) {
    if (cell !== '' || !required) return null;
    return { message: `"${name}" is empty.`, remedy: `Write ${holds}.` };
  }
  const { value, kind } = readCell(cell, { decimalComma, isoTime: false });
  row.numbers[name] = kind === 'number' ? value : null;
  if (kind === 'number' || (kind === 'empty' && !required)) return null;
  if (kind === 'empty') return { message: `"${name}" is empty.`, remedy: `Write ${holds}.` };
  return {
    message: `"${name}" is ${JSON.stringify(cell.slice(0, 40))}, where a number belongs: ${holds}.`,
    remedy: 'Write the number alone, without a unit.',
  };
}
