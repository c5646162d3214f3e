import type { PressureAim, RoadSurface } from '../../evidence/index.ts';
import type { Interval, Problem } from '../../units/index.ts';
import type { FitRule, FitVerdict } from './fit.ts';
import type { LimitOf } from './limits.ts';

/** What one pressure does, beside the middle of the range. */
export interface AtPressure {
  at: 'low' | 'middle' | 'high' | 'now';
  bar: number;
  psi: number;
  /** How far the wheel sinks under its load, mm. */
  dropMm: number;
  dropMmCi95: Interval;
  /** Of the tyre's width. */
  dropPercent: number;
  /** Vertical, of the tyre on a flat road at that load. */
  stiffnessNPerMm: number;
  stiffnessNPerMmCi95: Interval;
  /** Less that at the middle of the range, percent of it. */
  stiffnessChangePercent: number;
  patch: { lengthMm: number; widthMm: number; areaMm2: number };
  /** Loads of this wheel that press the tyre on the rim, slowly. */
  loadsToRim: number;
  /** Change of the rolling resistance coefficient from the middle of the range: a band; null where none is known. */
  crrChangePercent: Interval | null;
}

/** One wheel's tyre. */
export interface WheelTyre {
  loadN: number;
  loadNCi95: Interval;
  /** As computed with: measured, or else as designated. */
  widthMm: number;
  widthFrom: 'measured' | 'designation';
  /** The lowest of the maxima: nothing passes it. */
  hardLimitBar: number;
  hardLimitPsi: number;
  limitedBy: LimitOf;
  limits: { of: LimitOf; bar: number; psi: number }[];
  /** Share of the width that the wheel may sink by, from surface and aim, percent. */
  dropBandPercent: Interval;
  /** Null: withheld, and `withheld` says why. */
  recommendedBar: Interval | null;
  recommendedPsi: Interval | null;
  /** 95 % intervals of the two ends, cut at the hard limit like everything else. */
  lowBarCi95: Interval | null;
  highBarCi95: Interval | null;
  /** Whether the hard limit cut the range. */
  cutByLimit: boolean;
  withheld: string | null;
  /** Lowest first, then what is in the tyre now; empty when withheld. */
  pressures: AtPressure[];
  fit: {
    designatedWidthMm: number;
    rimInnerWidthMm: number;
    verdict: FitVerdict;
    rules: FitRule[];
  };
  /** Outer width of the rim by width of the tyre, percent; null: the rim's is not given. */
  rimToTyrePercent: number | null;
}

export interface TyresFinding {
  schema: 'lapbench/tyres@1';
  title: string;
  invented: boolean;
  massKg: number;
  frontShare: number;
  surface: RoadSurface;
  aim: PressureAim;
  front: WheelTyre;
  rear: WheelTyre;
  /** What a change of pressure does and does not tell, in words. */
  onChange: string[];
  warnings: Problem[];
  cautions: string[];
  method: 'tyres 1';
  inputs: { file: string; sha256: string }[];
}
