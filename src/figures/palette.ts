/**
 * Colours of a figure. Few on purpose: ink and its lighter tones carry the reading, one accent marks what the
 * evidence separates, one warm tone marks what was left out. The three differ in lightness by more than the
 * eye needs without any colour sense, and shape and words say the same again.
 */
export interface Palette {
  ink: string;
  soft: string;
  line: string;
  paper: string;
  band: string;
  accent: string;
  warm: string;
}

/** For files and print: on white. */
export const printPalette: Palette = {
  ink: '#14191c',
  soft: '#4a5358',
  line: '#c3cacc',
  paper: '#ffffff',
  band: '#e2e8e6',
  accent: '#0f5a4f',
  warm: '#9a4a00',
};

/** For the page: whatever its style sheet says at the moment, light or dark. */
export const pagePalette: Palette = {
  ink: 'var(--ink)',
  soft: 'var(--soft)',
  line: 'var(--line)',
  paper: 'var(--paper)',
  band: 'var(--band)',
  accent: 'var(--accent)',
  warm: 'var(--warm)',
};
