/** Paints the spectrogram with its axes and what lies over it. All places in CSS pixels. */
import type { Tone } from '../../application/contract.ts';
import { frequencyTicks, momentTicks, placeOfHz } from '../../figures/index.ts';
import { colour } from '../parts/scheme.ts';
import { canvasOf } from './picture-layers.ts';
import type { Drawn, Levels } from './picture-layers.ts';
import type { TimeView } from './picture-view.ts';

export const margins = { left: 50, right: 2, top: 20, bottom: 30 };

export interface Painted {
  width: number;
  height: number;
  view: TimeView;
  drawn: Drawn;
  overview: Levels;
  details: readonly Levels[];
  tones: readonly Tone[];
  selected: number | null;
  withTracks: boolean;
  clippedAtS: readonly number[];
  /** Where the piece to play begins, and where it is now. */
  markS: number | null;
  playingS: number | null;
}

export const xOf = ({ width, view }: Pick<Painted, 'width' | 'view'>, timeS: number): number =>
  margins.left +
  ((timeS - view.fromS) / (view.toS - view.fromS)) * (width - margins.left - margins.right);

export function yOf({ height, drawn }: Pick<Painted, 'height' | 'drawn'>, hz: number): number {
  const inner = height - margins.top - margins.bottom;
  return margins.top + (1 - placeOfHz(drawn.axis, hz)) * inner;
}

export function paint(canvas: HTMLCanvasElement, what: Painted): void {
  const { width, height } = what;
  const ratio = Math.min(3, window.devicePixelRatio || 1);
  const [w, h] = [Math.round(width * ratio), Math.round(height * ratio)];
  if (canvas.width !== w || canvas.height !== h) [canvas.width, canvas.height] = [w, h];
  const ctx = canvas.getContext('2d');
  if (!ctx) return;
  ctx.setTransform(ratio, 0, 0, ratio, 0, 0);
  ctx.clearRect(0, 0, width, height);
  const inner = {
    width: width - margins.left - margins.right,
    height: height - margins.top - margins.bottom,
  };
  ctx.save();
  ctx.beginPath();
  ctx.rect(margins.left, margins.top, inner.width, inner.height);
  ctx.clip();
  ctx.fillStyle = colour('--paper');
  ctx.fillRect(margins.left, margins.top, inner.width, inner.height);
  layer(ctx, what.overview, what);
  const finest = [...what.details].sort((a, b) => b.columnS - a.columnS);
  for (const one of finest) layer(ctx, one, what);
  if (what.withTracks) tracks(ctx, what);
  mark(ctx, what.markS, what, [5, 4]);
  mark(ctx, what.playingS, what, []);
  ctx.restore();
  if (what.withTracks) numbers(ctx, what);
  clipped(ctx, what);
  axes(ctx, what);
}

function layer(ctx: CanvasRenderingContext2D, levels: Levels, what: Painted): void {
  const left = xOf(what, levels.fromS);
  const right = xOf(what, levels.fromS + levels.columns * levels.columnS);
  if (right < margins.left || left > what.width) return;
  const canvas = canvasOf(levels, what.drawn);
  // Only what is in view: stretching an hour to see a second of it would cost much.
  const perPx = levels.columns / (right - left);
  const x0 = Math.max(left, margins.left - 2);
  const x1 = Math.min(right, what.width + 2);
  ctx.imageSmoothingEnabled = true;
  ctx.drawImage(
    canvas,
    ...[(x0 - left) * perPx, 0, (x1 - x0) * perPx, canvas.height],
    ...([x0, margins.top, x1 - x0, what.height - margins.top - margins.bottom] as const),
  );
}

function pathOf(tone: Tone, what: Painted): Path2D {
  const path = new Path2D();
  const { timeS, hz } = tone.track;
  let lastX = -Infinity;
  for (let i = 0; i < timeS.length; i++) {
    const x = xOf(what, timeS[i]);
    const ends = i === 0 || i === timeS.length - 1;
    // Less than a pixel further on nothing is to be seen.
    if (!ends && Math.abs(x - lastX) < 1) continue;
    // A tone of seconds in an hour is a dot, not nothing.
    if (i === 0) path.moveTo(Math.min(x, xOf(what, timeS[timeS.length - 1]) - 3), yOf(what, hz[i]));
    else path.lineTo(x, yOf(what, hz[i]));
    lastX = x;
  }
  return path;
}

export function inView(tone: Tone, { view, drawn }: Pick<Painted, 'view' | 'drawn'>): boolean {
  const { lowHz, highHz } = drawn.axis;
  return (
    tone.to >= view.fromS && tone.from <= view.toS && tone.hz >= lowHz * 0.9 && tone.hz <= highHz
  );
}

function tracks(ctx: CanvasRenderingContext2D, what: Painted): void {
  const seen = what.tones.filter((tone) => inView(tone, what));
  // The chosen one last, so that it lies on top.
  seen.sort((a, b) => Number(a.tone === what.selected) - Number(b.tone === what.selected));
  ctx.lineJoin = 'round';
  ctx.lineCap = 'round';
  for (const tone of seen) {
    const own = tone.tone === what.selected;
    const path = pathOf(tone, what);
    ctx.strokeStyle = colour('--paper');
    ctx.lineWidth = own ? 8 : 4;
    ctx.stroke(path);
    ctx.strokeStyle = colour('--warm');
    ctx.lineWidth = own ? 4 : 1.8;
    ctx.stroke(path);
  }
}

/** More numbers would hide what they name. */
const mostNumbers = 12;

/** Numbers stand over the beginning of their track, those of the strongest tones; one without room is left out. */
function numbers(ctx: CanvasRenderingContext2D, what: Painted): void {
  ctx.font = '600 14px system-ui, sans-serif';
  ctx.textAlign = 'center';
  ctx.textBaseline = 'middle';
  const taken: { x: number; y: number; half: number }[] = [];
  const paper = colour('--paper');
  const [ink, warm] = [colour('--ink'), colour('--warm')];
  const order = [...what.tones].sort(
    (a, b) => Number(b.tone === what.selected) - Number(a.tone === what.selected),
  );
  for (const tone of order) {
    if (taken.length >= mostNumbers) break;
    if (!inView(tone, what)) continue;
    const { x, y } = flagPlace(tone, what);
    const text = String(tone.tone);
    const half = text.length * 4.4 + 6;
    if (taken.some((one) => Math.abs(one.x - x) < one.half + half + 4 && Math.abs(one.y - y) < 24))
      continue;
    taken.push({ x, y, half });
    const own = tone.tone === what.selected;
    ctx.fillStyle = own ? ink : paper;
    ctx.strokeStyle = own ? paper : warm;
    ctx.lineWidth = 1.5;
    ctx.beginPath();
    ctx.roundRect(x - half, y - 10, 2 * half, 20, 4);
    ctx.fill();
    ctx.stroke();
    ctx.fillStyle = own ? paper : ink;
    ctx.fillText(text, x, y + 0.5);
  }
}

/** Middle of a tone's number: over where its track begins in view. */
export function flagPlace(tone: Tone, what: Pick<Painted, 'width' | 'height' | 'view' | 'drawn'>) {
  const { timeS, hz } = tone.track;
  const at = timeS.findIndex((t) => t >= what.view.fromS);
  const first = at < 0 ? timeS.length - 1 : at;
  const x = xOf(what, Math.max(what.view.fromS, timeS[first] ?? tone.from));
  const y = yOf(what, hz[first] ?? tone.hz) - 17;
  return {
    x: Math.min(what.width - 18, Math.max(margins.left + 14, x)),
    y: Math.min(what.height - margins.bottom - 12, Math.max(margins.top + 12, y)),
  };
}

function mark(
  ctx: CanvasRenderingContext2D,
  timeS: number | null,
  what: Painted,
  dash: number[],
): void {
  if (timeS === null) return;
  const x = xOf(what, timeS);
  ctx.beginPath();
  ctx.moveTo(x, margins.top);
  ctx.lineTo(x, what.height - margins.bottom);
  ctx.setLineDash([]);
  ctx.strokeStyle = colour('--paper');
  ctx.lineWidth = 5;
  ctx.stroke();
  ctx.setLineDash(dash);
  ctx.strokeStyle = colour('--ink');
  ctx.lineWidth = 2;
  ctx.stroke();
  ctx.setLineDash([]);
}

/** Moments at which the recorder ran out of range, as crosses above the picture. */
function clipped(ctx: CanvasRenderingContext2D, what: Painted): void {
  ctx.strokeStyle = colour('--warm');
  ctx.lineWidth = 2.2;
  let last = -Infinity;
  for (const timeS of what.clippedAtS) {
    if (timeS < what.view.fromS || timeS > what.view.toS) continue;
    const x = xOf(what, timeS);
    if (x - last < 9) continue;
    last = x;
    ctx.beginPath();
    ctx.moveTo(x - 4, 5);
    ctx.lineTo(x + 4, 13);
    ctx.moveTo(x + 4, 5);
    ctx.lineTo(x - 4, 13);
    ctx.stroke();
  }
}

function axes(ctx: CanvasRenderingContext2D, what: Painted): void {
  const { width, height, view, drawn } = what;
  const bottom = height - margins.bottom;
  ctx.font = '14px system-ui, sans-serif';
  ctx.fillStyle = colour('--soft');
  ctx.strokeStyle = colour('--edge');
  ctx.lineWidth = 1;
  ctx.strokeRect(
    margins.left + 0.5,
    margins.top + 0.5,
    width - margins.left - margins.right - 1,
    bottom - margins.top - 1,
  );
  ctx.textAlign = 'right';
  ctx.textBaseline = 'middle';
  const perAxis = Math.floor((bottom - margins.top) / 30);
  let lastY = Infinity;
  for (const { hz, text } of frequencyTicks(drawn.axis, perAxis)) {
    const y = yOf(what, hz);
    if (lastY - y < 17 || y < margins.top + 4) continue;
    lastY = y;
    ctx.fillText(text, margins.left - 8, y);
    line(ctx, margins.left - 5, y, margins.left, y);
  }
  ctx.textBaseline = 'top';
  ctx.fillText('Hz', margins.left - 8, 1);
  ctx.textAlign = 'center';
  const perTime = Math.max(2, Math.floor((width - margins.left) / 92));
  for (const { timeS, text } of momentTicks(view.fromS, view.toS, perTime)) {
    const x = xOf(what, timeS);
    line(ctx, x, bottom, x, bottom + 5);
    const half = ctx.measureText(text).width / 2;
    if (x - half < margins.left - 20 || x + half > width) continue;
    ctx.fillText(text, x, bottom + 8);
  }
}

function line(ctx: CanvasRenderingContext2D, x0: number, y0: number, x1: number, y1: number): void {
  ctx.beginPath();
  ctx.moveTo(x0, y0);
  ctx.lineTo(x1, y1);
  ctx.stroke();
}
