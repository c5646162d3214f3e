/** Parts of a recording that were analysed side by side, as one. */
import type { AnalysisPart, Overview, SoundAnalysis } from './analysis.ts';
import { harmonicFamilies } from './families.ts';
import { decibels } from './levels.ts';
import { coarser } from './overview.ts';
import { tracksOf } from './believed.ts';
import { partTicking } from './ticking.ts';

/**
 * The analysis of a recording from its parts, in order of time (see `splitSound`). Tones that sound across a seam are joined.
 * Throws RangeError without parts or when their sampling rates differ.
 */
export function mergeAnalyses(parts: readonly AnalysisPart[]): SoundAnalysis {
  if (parts.length === 0) throw new RangeError('no parts to join');
  const [{ sampleRateHz, frameSamples, hopSamples }] = parts;
  if (parts.some((part) => part.sampleRateHz !== sampleRateHz))
    throw new RangeError('parts of different sampling rates');
  const total = (of: (part: AnalysisPart) => number): number =>
    parts.reduce((sum, part) => sum + of(part), 0);
  const samples = total((part) => part.countedSamples);
  const frames = total((part) => part.frames);
  const frameS = frameSamples / sampleRateHz;
  const hopS = hopSamples / sampleRateHz;

  const found = tracksOf(parts, samples / sampleRateHz);
  const { tones, ticking } = partTicking(found.tracks);
  const families = harmonicFamilies(tones);

  return {
    levels: {
      durationS: samples / sampleRateHz,
      peakDbfs: decibels(Math.max(...parts.map((part) => part.peak))),
      rmsDbfs: decibels(Math.sqrt(total((part) => part.sumOfSquares) / Math.max(1, samples))),
      clippedShare: total((part) => part.clippedSamples) / Math.max(1, samples),
      clippedAtS: parts.flatMap((part) => part.clippedAtS),
      silentShare: total((part) => part.silentSamples) / Math.max(1, samples),
    },
    tracks: tones.map((track, i) => ({ ...track, ...families[i] })),
    ticking,
    voices: found.voices,
    tracksLeftOut: found.leftOut + total((part) => part.tracksLeftOut),
    spectrum: {
      hz: Float64Array.from(parts[0].psdSum, (_, k) => (k * sampleRateHz) / frameSamples),
      psd: Float64Array.from(
        parts[0].psdSum,
        (_, k) => total((part) => part.psdSum[k]) / Math.max(1, frames),
      ),
    },
    overview: overviewOf(parts, sampleRateHz / frameSamples, hopS, frameS),
    frameS,
    hopS,
  };
}

function overviewOf(
  parts: readonly AnalysisPart[],
  binHz: number,
  hopS: number,
  frameS: number,
): Overview {
  const { edges } = parts[0].overview;
  const rows = edges.length - 1;
  const columnsOf = (all: readonly AnalysisPart['overview'][]): number =>
    Math.max(...all.map((one) => one.firstColumn + one.cells.length / rows)) -
    Math.min(...all.map((one) => one.firstColumn));
  let pieces = parts.map((part) => part.overview);
  const coarsened = (one: AnalysisPart['overview']): AnalysisPart['overview'] => ({
    ...one,
    ...coarser(one.cells, rows, one.firstColumn),
    framesPerColumn: 2 * one.framesPerColumn,
  });
  const coarsest = Math.max(...pieces.map((one) => one.framesPerColumn));
  pieces = pieces.map((one) => {
    while (one.framesPerColumn < coarsest) one = coarsened(one);
    return one;
  });
  while (columnsOf(pieces) > 2000) pieces = pieces.map(coarsened);
  const first = Math.min(...pieces.map((one) => one.firstColumn));
  const columns = columnsOf(pieces);
  const levelDb = new Uint8Array(columns * rows);
  for (const one of pieces) {
    const at = (one.firstColumn - first) * rows;
    for (let i = 0; i < one.cells.length; i++)
      if (one.cells[i] > levelDb[at + i]) levelDb[at + i] = one.cells[i];
  }
  const columnS = pieces[0].framesPerColumn * hopS;
  return {
    columnS,
    timeS: Float64Array.from(
      { length: columns },
      (_, c) => (first + c + 0.5) * columnS + (frameS - hopS) / 2,
    ),
    edgesHz: Float64Array.from(edges, (k) => (k - 0.5) * binHz),
    hz: Float64Array.from({ length: rows }, (_, r) => ((edges[r] + edges[r + 1] - 1) / 2) * binHz),
    levelDb,
  };
}
