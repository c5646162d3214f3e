/** Columns of text for a terminal or a quotation, padded so that they line up. */

export interface TextColumn {
  title: string;
  /** Numbers stand right, words left. */
  align?: 'left' | 'right';
}

/** Rows of equal length under their titles; two spaces before and between columns. */
export function textTable(columns: TextColumn[], rows: string[][]): string {
  const widths = columns.map((column, index) =>
    Math.max(width(column.title), ...rows.map((row) => width(row[index]))),
  );
  const line = (cells: string[]): string =>
    cells
      .map((cell, index) => {
        const gap = ' '.repeat(widths[index] - width(cell));
        return columns[index].align === 'right' ? `  ${gap}${cell}` : `  ${cell}${gap}`;
      })
      .join('')
      .trimEnd();
  return [line(columns.map((column) => column.title)), ...rows.map(line)].join('\n');
}

/** Letters as a terminal counts them, not UTF-16 units. */
const width = (text: string): number => [...text].length;

/**
 * Folds a paragraph at `columns`, each further line starting with `indent`.
 * A word longer than a line is left whole.
 */
export function fold(text: string, indent = '  ', columns = 96): string {
  const lines: string[] = [];
  let line = indent;
  for (const word of text.split(/\s+/)) {
    if (width(line) + width(word) + 1 > columns && line.trim() !== '') {
      lines.push(line.trimEnd());
      line = `${indent}  `;
    }
    line += (line.endsWith(' ') || line === '' ? '' : ' ') + word;
  }
  return [...lines, line].join('\n');
}
