/** A decoder from a package, kept quiet and kept from harm: what it does wrong becomes data. */

export interface Decoded {
  channelData: Float32Array[];
  sampleRate: number;
  samplesDecoded?: number;
  errors?: unknown;
}

/** What the decoders of @audio/decode-* have in common. */
export interface Codec {
  decode(bytes: Uint8Array): Decoded | Promise<Decoded>;
  flush?(): Decoded | Promise<Decoded>;
  free(): void;
}

/** What came of one call: samples (perhaps none), how many faults, and whether the decoder is of no more use. */
export interface Turn {
  channels: Float32Array[];
  sampleRateHz: number;
  faults: number;
  dead: boolean;
}

/** Runs a decoder once, whatever it throws and prints. */
export async function turn(call: () => Decoded | Promise<Decoded>): Promise<Turn> {
  const unheard = silence();
  try {
    const result = await call();
    const all = result.channelData;
    const length = Math.min(result.samplesDecoded ?? Infinity, all[0]?.length ?? 0);
    return {
      channels: length > 0 ? all.map((samples) => samples.subarray(0, length)) : [],
      sampleRateHz: result.sampleRate,
      faults: Math.max(
        unheard.count(),
        Array.isArray(result.errors) ? result.errors.length : Number(result.errors ?? 0),
      ),
      dead: false,
    };
  } catch {
    return { channels: [], sampleRateHz: 0, faults: 1, dead: true };
  } finally {
    unheard.end();
  }
}

/** Frees a decoder; one that has trapped may not be able to. */
export function release(codec: Codec): void {
  const unheard = silence();
  try {
    codec.free();
  } catch {
    // Its memory goes with the garbage.
  } finally {
    unheard.end();
  }
}

/** The decoders print what they meet; for us that is a warning in the answer, not text on a screen. */
function silence(): { count: () => number; end: () => void } {
  const speaker = globalThis.console;
  const { error, warn, log } = speaker;
  let count = 0;
  const hush = (): void => {
    count++;
  };
  Object.assign(speaker, { error: hush, warn: hush, log: hush });
  return {
    count: () => count,
    end: () => Object.assign(speaker, { error, warn, log }),
  };
}
