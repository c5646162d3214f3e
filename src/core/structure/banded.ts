/**
 * Symmetric matrix of a closed ring of nodes in which only neighbours touch, factored as L·D·Lᵀ.
 *
 * The ring is folded flat (0, n-1, 1, n-2, ...), so that neighbours lie at most two places apart and the
 * matrix becomes a narrow band: work grows linearly with the number of nodes. Each node has six rows, which
 * hold the columns of the two places before it and of its own: 18.
 */
import { freedoms } from './beam.ts';

const before = 2 * freedoms;
const width = before + freedoms;

/** Factor of a ring matrix. */
export interface RingFactor {
  /** Number of negative pivots: that of the matrix's negative eigenvalues (Sylvester's law of inertia). */
  readonly negative: number;
  /** Smallest pivot against the diagonal that it came from. */
  readonly smallest: number;
  /** Solves for one right-hand side in the order of the ring; returns a new array. */
  solve(right: ArrayLike<number>): Float64Array;
}

// A wheel is often the first and only one of its process: these loops begin before they are compiled. So they
// read nothing but what is their own and call nothing.

/** Turns the band into the rows of L, and fills in the pivots. */
function factorBand(
  band: Float64Array,
  pivot: Float64Array,
  stopAfter: number,
): Pick<RingFactor, 'negative' | 'smallest'> {
  const perNode = freedoms;
  const count = pivot.length;
  let negative = 0;
  let smallest = Infinity;
  for (let i = 0; i < count && negative <= stopAfter; i++) {
    const inNode = i % freedoms;
    const column = i - inNode - before;
    const start = column < 0 ? -column : 0;
    const end = before + inNode;
    const row = i * width;
    for (let j = start + 1; j < end; j++) {
      // The row of column j, from the same first column on.
      const other = (column + j) * width + before - (j - (j % perNode));
      let sum = band[row + j];
      for (let k = start; k < j; k++) sum -= band[row + k] * band[other + k];
      band[row + j] = sum;
    }
    const diagonal = band[row + end];
    let d = diagonal;
    for (let j = start; j < end; j++) {
      const unscaled = band[row + j];
      const scaled = unscaled / pivot[column + j];
      d -= scaled * unscaled;
      band[row + j] = scaled;
    }
    pivot[i] = d;
    if (d < 0) negative++;
    const left = d / (diagonal < 0 ? -diagonal : diagonal || 1);
    if (left < smallest) smallest = left;
  }
  return { negative, smallest };
}

/** Solves in place, in the order of the fold. */
function solveBand(band: Float64Array, pivot: Float64Array, x: Float64Array): void {
  const count = pivot.length;
  for (let i = 0; i < count; i++) {
    const inNode = i % freedoms;
    const column = i - inNode - before;
    const end = before + inNode;
    const row = i * width;
    let sum = x[i];
    for (let j = column < 0 ? -column : 0; j < end; j++) sum -= band[row + j] * x[column + j];
    x[i] = sum;
  }
  for (let i = 0; i < count; i++) x[i] /= pivot[i];
  for (let i = count - 1; i >= 0; i--) {
    const inNode = i % freedoms;
    const column = i - inNode - before;
    const end = before + inNode;
    const row = i * width;
    const value = x[i];
    for (let j = column < 0 ? -column : 0; j < end; j++) x[column + j] -= band[row + j] * value;
  }
}

/** Adds the matrix times `x` to `y`, in the order of the fold. */
function timesBand(band: Float64Array, x: Float64Array, y: Float64Array): void {
  for (let i = 0; i < x.length; i++) {
    const inNode = i % freedoms;
    const column = i - inNode - before;
    const end = before + inNode;
    const row = i * width;
    let sum = band[row + end] * x[i];
    for (let j = column < 0 ? -column : 0; j < end; j++) {
      sum += band[row + j] * x[column + j];
      y[column + j] += band[row + j] * x[i];
    }
    y[i] += sum;
  }
}

export class RingMatrix {
  readonly nodes: number;
  readonly #place: Int32Array;
  /** Lower triangle. Column j of row i stands at `18 i + 12 + j - (first row of i's node)`. */
  readonly #band: Float64Array;

  constructor(nodes: number) {
    this.nodes = nodes;
    const half = Math.ceil(nodes / 2);
    this.#place = new Int32Array(nodes);
    for (let i = 0; i < nodes; i++) this.#place[i] = i < half ? 2 * i : 2 * (nodes - 1 - i) + 1;
    this.#band = new Float64Array(nodes * freedoms * width);
  }

  /** Adds to one entry and, when it is off the diagonal, to its mirror image. */
  add(nodeA: number, freedomA: number, nodeB: number, freedomB: number, value: number): void {
    const i = this.#place[nodeA] * freedoms + freedomA;
    const j = this.#place[nodeB] * freedoms + freedomB;
    const [row, column] = i >= j ? [i, j] : [j, i];
    this.#band[row * width + before + column - (row - (row % freedoms))] += value;
  }

  /** Adds a full block between two neighbouring nodes (or one node with itself: its lower half). */
  addBlock(nodes: readonly number[], block: Float64Array): void {
    const size = nodes.length * freedoms;
    for (let a = 0; a < size; a++) {
      const nodeA = nodes[(a / freedoms) | 0];
      for (let b = 0; b <= a; b++) {
        this.add(nodeA, a % freedoms, nodes[(b / freedoms) | 0], b % freedoms, block[a * size + b]);
      }
    }
  }

  /** The ring whose nodes, three or more, are joined each to the next by the same full piece. */
  static ofPieces(nodes: number, piece: Float64Array): RingMatrix {
    const ring = new RingMatrix(nodes);
    // Two places back stands the node before in the ring on the way out, the node after on the way back:
    // away from the two folds all rows of one way are alike, and are copied.
    const size = 2 * freedoms;
    const out = new Float64Array(freedoms * width);
    const back = new Float64Array(freedoms * width);
    for (let a = 0; a < freedoms; a++) {
      for (let b = 0; b < freedoms; b++) {
        out[a * width + b] = piece[(freedoms + a) * size + b];
        back[a * width + b] = piece[a * size + freedoms + b];
        if (b > a) continue;
        const own = piece[a * size + b] + piece[(freedoms + a) * size + freedoms + b];
        out[a * width + before + b] = own;
        back[a * width + before + b] = own;
      }
    }
    for (let place = 0; place < nodes; place++) {
      ring.#band.set(place % 2 === 0 ? out : back, place * out.length);
    }
    // The first node of each way has nothing two places back; at the folds neighbours are one place apart.
    for (let i = 0; i < 2 * freedoms; i++) ring.#band.fill(0, i * width, i * width + before);
    const turn = Math.ceil(nodes / 2);
    for (const [first, second] of [
      [nodes - 1, 0],
      [turn - 1, turn],
    ]) {
      for (let a = 0; a < freedoms; a++) {
        for (let b = 0; b < freedoms; b++) {
          ring.add(first, a, second, b, piece[a * size + freedoms + b]);
        }
      }
    }
    return ring;
  }

  /** A copy to build on. */
  clone(): RingMatrix {
    const copy = new RingMatrix(this.nodes);
    copy.#band.set(this.#band);
    return copy;
  }

  /** Matrix times vector, both in the order of the ring. */
  times(vector: ArrayLike<number>): Float64Array {
    const x = this.#fold(vector);
    const y = new Float64Array(x.length);
    timesBand(this.#band, x, y);
    return this.#unfold(y);
  }

  /** L·D·Lᵀ without exchanges. Stops early with `negative` above `stopAfter`. */
  factor(stopAfter = Infinity): RingFactor {
    const low = this.#band.slice();
    const pivot = new Float64Array(this.nodes * freedoms);
    const { negative, smallest } = factorBand(low, pivot, stopAfter);
    const solve = (right: ArrayLike<number>): Float64Array => {
      const x = this.#fold(right);
      solveBand(low, pivot, x);
      return this.#unfold(x);
    };
    return { negative, smallest, solve };
  }

  #fold(vector: ArrayLike<number>): Float64Array {
    const place = this.#place;
    const perNode = freedoms;
    const folded = new Float64Array(place.length * perNode);
    let from = 0;
    for (let node = 0; node < place.length; node++) {
      const to = place[node] * perNode;
      for (let f = 0; f < perNode; f++) folded[to + f] = vector[from++];
    }
    return folded;
  }

  #unfold(folded: Float64Array): Float64Array {
    const place = this.#place;
    const perNode = freedoms;
    const vector = new Float64Array(folded.length);
    let to = 0;
    for (let node = 0; node < place.length; node++) {
      const from = place[node] * perNode;
      for (let f = 0; f < perNode; f++) vector[to++] = folded[from + f];
    }
    return vector;
  }
}
