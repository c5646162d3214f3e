/** Pictures of levels as canvases: made once for an axis and a ground, then only moved and stretched. */
import type { SoundPicture } from '../../application/contract.ts';
import { levelColours, pixelsOf } from '../../figures/index.ts';
import type { FrequencyAxis, LevelCells } from '../../figures/index.ts';

/** A picture with its levels as bytes. */
export type Levels = Omit<SoundPicture, 'levels'> & LevelCells;

export function levelsOf(picture: SoundPicture): Levels {
  const text = atob(picture.levels);
  const levels = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) levels[i] = text.charCodeAt(i);
  return { ...picture, levels };
}

export interface Drawn {
  axis: FrequencyAxis;
  range: { quiet: number; loud: number };
  dark: boolean;
  /** Rows of pixels. */
  height: number;
}

const made = new WeakMap<Levels, { key: string; canvas: HTMLCanvasElement }>();
const ramps = new Map<boolean, Uint8ClampedArray>();

/** The same canvas as long as nothing that it shows has changed. */
export function canvasOf(levels: Levels, drawn: Drawn): HTMLCanvasElement {
  const key = JSON.stringify(drawn);
  const kept = made.get(levels);
  if (kept?.key === key) return kept.canvas;
  const { axis, range, dark, height } = drawn;
  const ramp = ramps.get(dark) ?? levelColours(dark ? 'dark' : 'light');
  ramps.set(dark, ramp);
  const canvas = document.createElement('canvas');
  canvas.width = levels.columns;
  canvas.height = height;
  const pixels = pixelsOf(levels, axis, height, range, ramp);
  canvas.getContext('2d')?.putImageData(new ImageData(pixels, levels.columns, height), 0, 0);
  made.set(levels, { key, canvas });
  return canvas;
}
