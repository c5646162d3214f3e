/**
 * A spectrogram as pixels: pure, so that it is drawn once and then only moved and stretched. The page puts the
 * pixels into a canvas; axes and what is laid over use the same places.
 */
import { levelSteps } from './level-colours.ts';
import { fixed } from './numbers.ts';

/** Part of the frequencies, equally wide by ratio (`log`) or by difference. */
export interface FrequencyAxis {
  scale: 'log' | 'linear';
  lowHz: number;
  highHz: number;
}

/** Levels of cells: column after column, each from the lowest row up. */
export interface LevelCells {
  columns: number;
  rows: number;
  /** One more than rows, rising. */
  edgesHz: ArrayLike<number>;
  levels: Uint8Array;
}

/** Share of the axis from its low end, 0 to 1 inside. */
export function placeOfHz({ scale, lowHz, highHz }: FrequencyAxis, hz: number): number {
  return scale === 'log'
    ? Math.log(hz / lowHz) / Math.log(highHz / lowHz)
    : (hz - lowHz) / (highHz - lowHz);
}

export function hzAtPlace({ scale, lowHz, highHz }: FrequencyAxis, place: number): number {
  return scale === 'log' ? lowHz * (highHz / lowHz) ** place : lowHz + (highHz - lowHz) * place;
}

/** Bytes between which the colours are spread: most of the ground is quiet, the loudest cells keep their steps. */
export function levelRange({ levels }: LevelCells): { quiet: number; loud: number } {
  const counts = new Uint32Array(256);
  for (const level of levels) counts[level]++;
  // Digital silence says nothing of the ground.
  const heard = levels.length - counts[0];
  const atShare = (share: number): number => {
    let sum = 0;
    for (let level = 1; level < 256; level++)
      if ((sum += counts[level]) >= share * heard) return level;
    return 255;
  };
  const quiet = heard === 0 ? 0 : atShare(0.6);
  const leastSpread = 60; // 30 dB
  return { quiet, loud: Math.max(quiet + leastSpread, atShare(0.9995)) };
}

/**
 * Pixels (RGBA) of all columns over `height` equal steps of the axis, the highest frequency on top. Where more rows
 * than one fall into a step the loudest is shown, so that a thin tone is never lost.
 */
export function pixelsOf(
  cells: LevelCells,
  axis: FrequencyAxis,
  height: number,
  { quiet, loud }: { quiet: number; loud: number },
  colours: Uint8ClampedArray,
): Uint8ClampedArray<ArrayBuffer> {
  const { columns, rows, edgesHz, levels } = cells;
  const pixels = new Uint32Array(columns * height);
  const palette = coloursOfBytes(quiet, loud, colours);
  const { first, last } = rowsOfSteps(edgesHz, rows, axis, height);
  for (let column = 0; column < columns; column++) {
    const from = column * rows;
    for (let step = 0; step < height; step++) {
      let most = 0;
      for (let row = first[step]; row < last[step]; row++)
        if (levels[from + row] > most) most = levels[from + row];
      pixels[(height - 1 - step) * columns + column] = palette[most];
    }
  }
  return new Uint8ClampedArray(pixels.buffer);
}

function coloursOfBytes(quiet: number, loud: number, colours: Uint8ClampedArray): Uint32Array {
  const whole = new Uint8ClampedArray(4 * 256);
  for (let level = 0; level < 256; level++) {
    const share = Math.min(1, Math.max(0, (level - quiet) / (loud - quiet)));
    const at = 4 * Math.round(share * (levelSteps - 1));
    whole.set(colours.subarray(at, at + 4), 4 * level);
  }
  return new Uint32Array(whole.buffer);
}

/** First row of each step of the axis and one past its last; none outside of what was analysed. */
function rowsOfSteps(
  edgesHz: ArrayLike<number>,
  rows: number,
  axis: FrequencyAxis,
  height: number,
): { first: Int32Array; last: Int32Array } {
  const first = new Int32Array(height);
  const last = new Int32Array(height);
  let row = 0;
  for (let step = 0; step < height; step++) {
    const low = hzAtPlace(axis, step / height);
    const high = hzAtPlace(axis, (step + 1) / height);
    while (row < rows && edgesHz[row + 1] <= low) row++;
    first[step] = row;
    let end = row;
    while (end < rows && edgesHz[end] < high) end++;
    last[step] = end;
  }
  return { first, last };
}

/** Round frequencies on an axis, about `count` of them, with their labels. */
export function frequencyTicks(axis: FrequencyAxis, count: number): { hz: number; text: string }[] {
  const { lowHz, highHz } = axis;
  const wide = axis.scale === 'log' && highHz / lowHz > 4;
  const values = wide ? roundByRatio(lowHz, highHz, count) : roundByStep(lowHz, highHz, count);
  return values.map((hz) => ({ hz, text: hzLabel(hz) }));
}

/** `440`, `1.2 k`: short, for an axis that says Hz. */
function hzLabel(hz: number): string {
  if (hz < 1000) return String(Number(hz.toPrecision(6)));
  return `${String(Number((hz / 1000).toPrecision(6)))}\u202fk`;
}

function roundByRatio(lowHz: number, highHz: number, count: number): number[] {
  for (const marks of [[1, 1.5, 2, 3, 4, 5, 6, 8], [1, 2, 3, 5], [1, 2, 5], [1]]) {
    const values: number[] = [];
    for (let decade = 10 ** Math.floor(Math.log10(lowHz)); decade <= highHz; decade *= 10)
      values.push(...marks.map((mark) => mark * decade));
    const inside = values.filter((hz) => hz >= lowHz && hz <= highHz);
    if (inside.length <= count || marks.length === 1) return inside;
  }
  return [];
}

function roundByStep(low: number, high: number, count: number): number[] {
  const rough = (high - low) / Math.max(1, count);
  const decade = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((one) => one * decade).find((one) => one >= rough) ?? rough;
  const first = Math.ceil(low / step - 1e-9);
  const steps = Math.max(0, Math.floor(high / step + 1e-9) - first + 1);
  return Array.from({ length: steps }, (_, i) => Number(((first + i) * step).toPrecision(12)));
}

const timeSteps = [
  0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200,
];

/** Round moments between two, about `count` of them: `1:05`, `1:05.2` where steps are finer than a second. */
export function momentTicks(
  fromS: number,
  toS: number,
  count: number,
): { timeS: number; text: string }[] {
  const step = timeSteps.find((one) => (toS - fromS) / one <= count) ?? 14_400;
  const first = Math.ceil(fromS / step - 1e-9);
  const steps = Math.max(0, Math.floor(toS / step + 1e-9) - first + 1);
  const decimals = step < 0.1 ? 2 : step < 1 ? 1 : 0;
  return Array.from({ length: steps }, (_, i) => (first + i) * step).map((timeS) => ({
    timeS,
    text: momentText(timeS, decimals),
  }));
}

/** `4:05`, `4:05.3`, `1:02:33` from the start of the recording. */
export function momentText(timeS: number, decimals = 0): string {
  const unit = 10 ** decimals;
  const whole = Math.round(Math.max(0, timeS) * unit) / unit;
  const h = Math.floor(whole / 3600);
  const m = Math.floor((whole % 3600) / 60);
  const s = fixed(whole % 60, decimals).padStart(decimals > 0 ? 3 + decimals : 2, '0');
  return h > 0 ? `${h}:${String(m).padStart(2, '0')}:${s}` : `${m}:${s}`;
}
