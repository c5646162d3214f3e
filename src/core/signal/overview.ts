/** The picture of a whole recording: the loudest of each cell, whatever the length. */

const mostColumns = 2000;
const mostRows = 512;

/** First bin of each row and one past the last: one bin at least, growing by ratio further up, 512 rows at most. */
export function rowEdges(from: number, to: number): Int32Array {
  const edgesFor = (ratio: number): number[] => {
    const edges = [from];
    for (let k = from; k < to;)
      edges.push((k = Math.min(to, Math.max(k + 1, Math.round(k * ratio)))));
    return edges;
  };
  let low = 1;
  let high = 2;
  for (let i = 0; i < 40; i++) {
    const ratio = (low + high) / 2;
    if (edgesFor(ratio).length - 1 > mostRows) low = ratio;
    else high = ratio;
  }
  return Int32Array.from(edgesFor(high));
}

export interface OverviewBuilder {
  /** `toMeanSquare` turns |X|² into the mean square of a tone in that bin. */
  add(frame: number, power: Float64Array): void;
  finish(): { framesPerColumn: number; edges: Int32Array; firstColumn: number; cells: Uint8Array };
}

export function overviewBuilder(edges: Int32Array, toMeanSquare: number): OverviewBuilder {
  const rows = edges.length - 1;
  let framesPerColumn = 1;
  let firstColumn = -1;
  let columns = 0;
  let cells = new Uint8Array(64 * rows);
  const offset = 10 * Math.log10(toMeanSquare);
  return {
    add(frame, power) {
      if (firstColumn < 0) firstColumn = frame;
      let column = Math.floor(frame / framesPerColumn) - firstColumn;
      while (column >= mostColumns) {
        const halved = coarser(cells.subarray(0, columns * rows), rows, firstColumn);
        framesPerColumn *= 2;
        firstColumn = halved.firstColumn;
        columns = halved.cells.length / rows;
        cells.fill(0);
        cells.set(halved.cells);
        column = Math.floor(frame / framesPerColumn) - firstColumn;
      }
      if (column >= columns) {
        columns = column + 1;
        if (columns * rows > cells.length) {
          const wider = new Uint8Array(Math.min(mostColumns, 2 * columns) * rows);
          wider.set(cells);
          cells = wider;
        }
      }
      let k = edges[0];
      for (let r = 0; r < rows; r++) {
        let most = 0;
        for (const end = edges[r + 1]; k < end; k++) if (power[k] > most) most = power[k];
        const db = most > 0 ? 10 * Math.log10(most) + offset : -200;
        const cell = Math.min(255, Math.max(0, Math.round(2 * (db + 127.5))));
        if (cell > cells[column * rows + r]) cells[column * rows + r] = cell;
      }
    },
    finish: () => ({
      framesPerColumn,
      edges,
      firstColumn: Math.max(0, firstColumn),
      cells: cells.slice(0, columns * rows),
    }),
  };
}

/** Columns joined in pairs on the recording's own grid (an odd first column stays alone). */
export function coarser(
  cells: Uint8Array,
  rows: number,
  firstColumn: number,
): { cells: Uint8Array; firstColumn: number } {
  const columns = cells.length / rows;
  const first = Math.floor(firstColumn / 2);
  const joined = new Uint8Array((Math.floor((firstColumn + columns - 1) / 2) - first + 1) * rows);
  for (let c = 0; c < columns; c++) {
    const to = (Math.floor((firstColumn + c) / 2) - first) * rows;
    for (let r = 0; r < rows; r++) {
      const cell = cells[c * rows + r];
      if (cell > joined[to + r]) joined[to + r] = cell;
    }
  }
  return { cells: joined, firstColumn: first };
}
