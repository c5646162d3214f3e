/** Many channels to one. */

/**
 * One channel from many: the mean of all, as the ear at a distance would have it. It does not clip, and what all
 * channels share (the sound) keeps its level while the wind on each microphone falls. Two channels with one wired
 * the wrong way round cancel: then take the loudest.
 *
 * `loudest` takes, for this block, the channel with the most power, whole; use it on short pieces only, since the
 * choice may change from block to block. `channel` names it (from 0).
 */
export function mixToMono(
  channels: Float32Array[],
  how: 'mean' | 'loudest' = 'mean',
): { samples: Float32Array; channel: number | null } {
  if (channels.length === 0) return { samples: new Float32Array(0), channel: null };
  if (channels.length === 1) return { samples: channels[0], channel: 0 };
  if (how === 'loudest') {
    const power = channels.map((samples) => samples.reduce((sum, x) => sum + x * x, 0));
    const channel = power.indexOf(Math.max(...power));
    return { samples: channels[channel], channel };
  }
  const samples = new Float32Array(channels[0].length);
  for (let i = 0; i < samples.length; i++) {
    let sum = 0;
    for (const channel of channels) sum += channel[i];
    samples[i] = sum / channels.length;
  }
  return { samples, channel: null };
}
