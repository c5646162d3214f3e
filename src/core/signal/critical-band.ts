/** How much noise competes with a tone in the ear. */

/**
 * Width of the critical band around `hz`, Hz: 25 + 75(1 + 1.4(f/kHz)²)^0.69 (Zwicker & Terhardt 1980, J. Acoust. Soc. Am.
 * 68:1523), the expression that the tone-to-noise ratio of ISO 7779 and ECMA-74, annex D, uses (162 Hz at 1 kHz). Both from memory.
 */
export function criticalBandHz(hz: number): number {
  return 25 + 75 * (1 + 1.4 * (hz / 1000) ** 2) ** 0.69;
}
