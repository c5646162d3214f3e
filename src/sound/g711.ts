/**
 * Telephone companding. ITU-T Recommendation G.711 (11/88): tables 1a/1b (A-law) and 2a/2b (µ-law) give the
 * decoder's output values on scales of 4096 and 8159; here they are on the 16-bit scale that is usual for both.
 */

/** Values of the 256 A-law octets, full scale = 1. Even bits are inverted on the line (table 1, note 2). */
export const aLaw: Float32Array = Float32Array.from({ length: 256 }, (_, octet) => {
  const code = octet ^ 0x55;
  const segment = (code >> 4) & 7;
  const step = code & 15;
  // Middle of the step, in units of 1/4096 of full scale times 16.
  const size = segment === 0 ? (2 * step + 1) * 8 : ((2 * step + 33) * 8) << (segment - 1);
  return (code & 0x80 ? size : -size) / 32_768;
});

/** Values of the 256 µ-law octets, full scale = 1. All bits are inverted on the line. */
export const muLaw: Float32Array = Float32Array.from({ length: 256 }, (_, octet) => {
  const code = ~octet & 0xff;
  const segment = (code >> 4) & 7;
  const step = code & 15;
  const size = (((2 * step + 33) << segment) - 33) * 4;
  return (code & 0x80 ? -size : size) / 32_768;
});
