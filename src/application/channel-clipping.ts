/** Clipping of each channel by itself: in a mix of several, the flat top of one is no longer at the limit. */

export interface Clipping {
  clippedSamples: number;
  countedSamples: number;
  /** Moments, a second apart at least, some at most. */
  atS: number[];
}

const limit = 0.999;
const mostMoments = 200;

/** As the analysis of one channel counts: two samples in a row at the limit are a flat top, one is a loud recording. */
export function clippingMeter(sampleRateHz: number, channels: number) {
  const found: Clipping[] = Array.from({ length: channels }, () => ({
    clippedSamples: 0,
    countedSamples: 0,
    atS: [],
  }));
  const runs = new Int32Array(channels);
  return {
    channels: found,
    /** `at`: number of the block's first sample; only those from `countFrom` up to `countTo` count. */
    push(block: readonly Float32Array[], at: number, countFrom: number, countTo: number): void {
      const from = Math.max(0, countFrom - at);
      const to = Math.min(block[0].length, countTo - at);
      block.forEach((samples, channel) => {
        const own = found[channel];
        own.countedSamples += Math.max(0, to - from);
        for (let i = from; i < to; i++) {
          if (samples[i] < limit && samples[i] > -limit) {
            runs[channel] = 0;
            continue;
          }
          runs[channel]++;
          if (runs[channel] === 1) continue;
          own.clippedSamples += runs[channel] === 2 ? 2 : 1;
          if (runs[channel] === 2) note(own.atS, (at + i) / sampleRateHz);
        }
      });
    },
  };
}

function note(moments: number[], s: number): void {
  const last = moments[moments.length - 1];
  if (moments.length < mostMoments && (last === undefined || s - last >= 1)) moments.push(s);
}

/** The channel that clipped most, over all parts of a sound; null without any. */
export function worstClipping(
  parts: readonly (readonly Clipping[])[],
): { share: number; atS: number[] } | null {
  const channels = parts[0]?.length ?? 0;
  let worst: { share: number; atS: number[] } | null = null;
  for (let channel = 0; channel < channels; channel++) {
    const own = parts.map((part) => part[channel]);
    const sum = (of: (one: Clipping) => number): number => own.reduce((n, one) => n + of(one), 0);
    const share =
      sum((one) => one.clippedSamples) /
      Math.max(
        1,
        sum((one) => one.countedSamples),
      );
    if (worst === null || share > worst.share)
      worst = { share, atS: own.flatMap(({ atS }) => atS).slice(0, mostMoments) };
  }
  return worst;
}
