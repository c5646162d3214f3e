/**
 * Symmetric matrix of a closed ring of nodes in which only neighbours touch, factored as L·D·Lᵀ.
 *
 * The ring is folded flat (0, n-1, 1, n-2, ...), so that neighbours lie at most two places apart and the
 * matrix becomes a narrow band: work grows linearly with the number of nodes.
 */
import { freedoms } from './beam.ts';

const halfBand = 3 * freedoms - 1;
const width = halfBand + 1;

/** Factor of a ring matrix. */
export interface RingFactor {
  /** Number of negative pivots: that of the matrix's negative eigenvalues (Sylvester's law of inertia). */
  readonly negative: number;
  /** Smallest pivot against the diagonal that it came from. */
  readonly smallest: number;
  /** Solves for one right-hand side in the order of the ring; returns a new array. */
  solve(right: ArrayLike<number>): Float64Array;
}

export class RingMatrix {
  readonly nodes: number;
  readonly #place: Int32Array;
  /** Rows of the lower triangle; column j of row i stands at `i·width + j - i + halfBand`. */
  readonly #band: Float64Array;

  constructor(nodes: number) {
    this.nodes = nodes;
    const half = Math.ceil(nodes / 2);
    this.#place = Int32Array.from({ length: nodes }, (_, i) =>
      i < half ? 2 * i : 2 * (nodes - 1 - i) + 1,
    );
    this.#band = new Float64Array(nodes * freedoms * width);
  }

  /** Adds to one entry and, when it is off the diagonal, to its mirror image. */
  add(nodeA: number, freedomA: number, nodeB: number, freedomB: number, value: number): void {
    const i = this.#place[nodeA] * freedoms + freedomA;
    const j = this.#place[nodeB] * freedoms + freedomB;
    if (i >= j) this.#band[i * width + j - i + halfBand] += value;
    else this.#band[j * width + i - j + halfBand] += value;
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
    for (let i = 0; i < x.length; i++) {
      const row = i * width + halfBand - i;
      for (let j = Math.max(0, i - halfBand); j < i; j++) {
        y[i] += this.#band[row + j] * x[j];
        y[j] += this.#band[row + j] * x[i];
      }
      y[i] += this.#band[row + i] * x[i];
    }
    return this.#unfold(y);
  }

  /** L·D·Lᵀ without exchanges. Stops early with `negative` above `stopAfter`. */
  factor(stopAfter = Infinity): RingFactor {
    const count = this.nodes * freedoms;
    const low = Float64Array.from(this.#band);
    const pivot = new Float64Array(count);
    const row = new Float64Array(count + 1);
    let negative = 0;
    let smallest = Infinity;
    for (let i = 0; i < count && negative <= stopAfter; i++) {
      const first = Math.max(0, i - halfBand);
      const at = i * width + halfBand - i;
      let d = low[at + i];
      const before = Math.abs(d);
      for (let j = first; j < i; j++) {
        let sum = low[at + j];
        const other = j * width + halfBand - j;
        for (let k = Math.max(first, j - halfBand); k < j; k++) sum -= row[k] * low[other + k];
        row[j] = sum;
      }
      for (let j = first; j < i; j++) {
        const l = row[j] / pivot[j];
        d -= l * row[j];
        low[at + j] = l;
      }
      pivot[i] = d;
      if (d < 0) negative++;
      smallest = Math.min(smallest, d / (before || 1));
    }
    const solve = (right: ArrayLike<number>): Float64Array => {
      const x = this.#fold(right);
      for (let i = 0; i < count; i++) {
        const at = i * width + halfBand - i;
        let sum = x[i];
        for (let j = Math.max(0, i - halfBand); j < i; j++) sum -= low[at + j] * x[j];
        x[i] = sum;
      }
      for (let i = 0; i < count; i++) x[i] /= pivot[i];
      for (let i = count - 1; i >= 0; i--) {
        const at = i * width + halfBand - i;
        const value = x[i];
        for (let j = Math.max(0, i - halfBand); j < i; j++) x[j] -= low[at + j] * value;
      }
      return this.#unfold(x);
    };
    return { negative, smallest, solve };
  }

  #fold(vector: ArrayLike<number>): Float64Array {
    const folded = new Float64Array(this.nodes * freedoms);
    for (let node = 0; node < this.nodes; node++) {
      const to = this.#place[node] * freedoms;
      for (let f = 0; f < freedoms; f++) folded[to + f] = vector[node * freedoms + f];
    }
    return folded;
  }

  #unfold(folded: Float64Array): Float64Array {
    const vector = new Float64Array(folded.length);
    for (let node = 0; node < this.nodes; node++) {
      const from = this.#place[node] * freedoms;
      for (let f = 0; f < freedoms; f++) vector[node * freedoms + f] = folded[from + f];
    }
    return vector;
  }
}
