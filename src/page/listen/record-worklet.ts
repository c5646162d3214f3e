/** Runs beside the sound: hands every sample on, in blocks of a few hundredths of a second. */

declare const sampleRate: number;
declare function registerProcessor(name: string, processor: unknown): void;
declare class AudioWorkletProcessor {
  readonly port: MessagePort;
}

class Samples extends AudioWorkletProcessor {
  private block = new Float32Array(Math.round(sampleRate / 50));
  private filled = 0;

  /** One channel: the first; a second one of the same microphone adds nothing. */
  process([channels]: Float32Array[][]): boolean {
    const samples = channels?.[0];
    if (!samples) return true;
    let at = 0;
    while (at < samples.length) {
      const count = Math.min(samples.length - at, this.block.length - this.filled);
      this.block.set(samples.subarray(at, at + count), this.filled);
      this.filled += count;
      at += count;
      if (this.filled < this.block.length) break;
      this.port.postMessage(this.block, [this.block.buffer]);
      this.block = new Float32Array(Math.round(sampleRate / 50));
      this.filled = 0;
    }
    return true;
  }
}

registerProcessor('samples', Samples);
