export { drawFigure, figureSvg } from './figure.ts';
export type { DrawnFigure, Figure, FigureStyle } from './figure.ts';
export { pagePalette, printPalette } from './palette.ts';
export type { Palette } from './palette.ts';
export { intervalFigure, verdictWords, wattsPerM2 } from './intervals.ts';
export type { IntervalData, IntervalRow } from './intervals.ts';
export { compass, roadFigure } from './road.ts';
export type { RoadData } from './road.ts';
export { profileFigure } from './profile.ts';
export type { ProfileData } from './profile.ts';
export { lapValuesFigure } from './lap-values.ts';
export type { LapValue } from './lap-values.ts';
export { residualBins, residualFigure } from './residuals.ts';
export type { ResidualBin, ResidualData, ResidualPoint } from './residuals.ts';
export { budgetFigure } from './budget.ts';
export type { BudgetRow } from './budget.ts';
export { loadDeflectionFigure } from './load-deflection.ts';
export type { LoadDeflectionData, LoadedSeries } from './load-deflection.ts';
export { rimStripFigure, tightOrLoose } from './rim-strip.ts';
export type { RimStripData, RimStripRun, RimStripSpoke } from './rim-strip.ts';
export { pluckLevelFigure } from './pluck-levels.ts';
export type { PluckLevelData, PluckMark } from './pluck-levels.ts';
export { highOrLow, pluckPitchFigure } from './pluck-pitches.ts';
export type { PluckedSpoke, PluckPitchData } from './pluck-pitches.ts';
export { changeWords, spokeChangesFigure } from './spoke-changes.ts';
export type { SpokeChange, SpokeChangesData } from './spoke-changes.ts';
export {
  angleAt,
  exaggerationFor,
  isSlack,
  loadPlace,
  movementAtLoad,
  wheelFigure,
  wheelPlace,
} from './wheel.ts';
export type { DrawnSpoke, WheelDrawing } from './wheel.ts';
export { loadWords } from './wheel-load.ts';
export type { LoadKind, LoadOnRim } from './wheel-load.ts';
export { joinSpans, traceSpans, traceStrips } from './trace.ts';
export type { TracedLap, TraceInput, TraceSpan, TraceStrip } from './trace.ts';
export { levelColours, levelSteps } from './level-colours.ts';
export {
  frequencyTicks,
  hzAtPlace,
  levelRange,
  momentText,
  momentTicks,
  pixelsOf,
  placeOfHz,
} from './noise-picture.ts';
export type { FrequencyAxis, LevelCells } from './noise-picture.ts';
export { noiseCurvesFigure, noiseCurvesPlace, spokeAtPlace } from './noise-curves.ts';
export { curveWords, hzAtTorque } from './noise-curve-words.ts';
export type { CurveTone, NoiseCurve, NoiseCurvesData } from './noise-curve-words.ts';
export { noiseSpectrumFigure } from './noise-spectrum.ts';
export type { NoiseSpectrumData } from './noise-spectrum.ts';
export {
  clock,
  decimalsBeside,
  decimalsFor,
  fixed,
  halfWidth,
  hours,
  range,
  signed,
  thin,
} from './numbers.ts';
