/** Level of the whole band over time, from the levels of its rows. */
import type { SoundPicture } from '../../application/contract.ts';

/** dB below full scale, one for each column; at most `most` of them, the loudest of those that fall together. */
export function levelsOverTime({ columns, rows, levels }: SoundPicture): number[] {
  const bytes = Uint8Array.from(atob(levels), (letter) => letter.charCodeAt(0));
  return Array.from({ length: columns }, (_, c) => {
    let power = 0;
    for (let r = 0; r < rows; r++) power += 10 ** ((bytes[c * rows + r] / 2 - 127.5) / 10);
    return 10 * Math.log10(Math.max(power, 1e-13));
  });
}
