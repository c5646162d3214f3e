/**
 * Listens for strokes in the sound that comes in, and cuts each out. It does not say what a stroke was: the server
 * hears that. Levels only, so that it costs nothing on a phone.
 */

/** A stroke with the quiet before it and the ring after it. */
export interface Cutting {
  samples: Float32Array<ArrayBuffer>;
  /** Where in it the stroke begins, s. */
  atS: number;
}

export const beforeS = 0.35;
export const afterS = 0.8;
const blockS = 0.005;
/** A stroke is so many times above the loudest of the 50 ms before it, above the quiet, and above nothing at all. */
const rise = 4;
const aboveQuiet = 12;
const leastPower = 1e-7;
const quietBlocks = 600;

export class PluckEar {
  private readonly sampleRateHz: number;
  private readonly size: number;
  /** The last seconds, oldest first, and how many samples had come before them. */
  private kept: Float32Array<ArrayBuffer>;
  private filled = 0;
  private dropped = 0;
  private power: number[] = [];
  private smooth: number[] = [];
  private blocks = 0;
  private strokeAt: number | null = null;
  private lastIn = 0;
  private lastOut = 0;

  constructor(sampleRateHz: number) {
    this.sampleRateHz = sampleRateHz;
    this.size = Math.round(blockS * sampleRateHz);
    this.kept = new Float32Array(Math.round(4 * sampleRateHz));
  }

  /** Whether a stroke was heard whose ring is still waited for. */
  get waiting(): boolean {
    return this.strokeAt !== null;
  }

  /** Takes what came in; answers a cutting when one is complete. */
  push(samples: Float32Array): Cutting | null {
    this.keep(samples);
    const total = this.dropped + this.filled;
    while ((this.blocks + 1) * this.size <= total) this.look();
    if (this.strokeAt === null) return null;
    const past = this.strokeAt + Math.round(afterS * this.sampleRateHz);
    if (total < past) return null;
    const from = Math.max(this.dropped, this.strokeAt - Math.round(beforeS * this.sampleRateHz));
    const cutting = {
      samples: this.kept.slice(from - this.dropped, past - this.dropped),
      atS: (this.strokeAt - from) / this.sampleRateHz,
    };
    this.strokeAt = null;
    return cutting;
  }

  private keep(samples: Float32Array): void {
    const over = this.filled + samples.length - this.kept.length;
    if (over > 0) {
      // Half of it at once, so that the rest is not moved with every block.
      const gone = Math.max(over, Math.floor(this.kept.length / 4));
      this.kept.copyWithin(0, gone, this.filled);
      this.filled -= gone;
      this.dropped += gone;
    }
    this.kept.set(samples, this.filled);
    this.filled += samples.length;
  }

  /** One more block of 5 ms: its power above some 100 Hz, and whether a stroke begins with it. */
  private look(): void {
    const first = this.blocks * this.size - this.dropped;
    const pole = Math.exp((-2 * Math.PI * 100) / this.sampleRateHz);
    let sum = 0;
    for (let i = first; i < first + this.size; i++) {
      const x = this.kept[i];
      this.lastOut = pole * (this.lastOut + x - this.lastIn);
      this.lastIn = x;
      sum += this.lastOut ** 2;
    }
    this.blocks++;
    const power = sum / this.size;
    this.power.push(power);
    if (this.power.length > quietBlocks) this.power.shift();
    const [a = 0, b = 0] = this.power.slice(-3, -1);
    const smooth = (power + a + b) / 3;
    const before = Math.max(...this.smooth);
    this.smooth.push(smooth);
    if (this.smooth.length > 10) this.smooth.shift();
    const heardS = this.blocks * blockS;
    if (this.strokeAt !== null || heardS < beforeS || power < leastPower) return;
    if (smooth < rise * before) return;
    const quiet = [...this.power].sort((p, q) => p - q)[Math.floor(this.power.length / 10)];
    if (power < aboveQuiet * quiet) return;
    this.strokeAt = (this.blocks - 1) * this.size;
  }
}
