import type { Interval, Problem } from '../../units/index.ts';
import type { Side } from '../../evidence/index.ts';

/** One spoke of the wheel as it stands. */
export interface WheelSpoke {
  /** From 1, round the rim in the direction of rotation. */
  spoke: number;
  side: Side;
  /** Geometry: a trailing spoke's rim end lies behind its flange hole in the direction of rotation. */
  role: 'leading' | 'trailing' | 'radial';
  lengthM: number;
  /** Angle to the wheel's plane, degrees. */
  bracingAngleDeg: number;
  tensionN: number;
  /** Change of tension for 1 N m of brake torque on the hub against the tyre contact, mean over a turn, N. */
  deltaTensionPerNm: number;
  /** Least and greatest of that while the wheel turns and the contact passes. */
  deltaTensionRangePerNm: Interval;
  /** The sign of that change, from the mechanics. */
  underBraking: 'gains' | 'loses' | 'unchanged';
  /** Change for 1 N to the left at the rim beside spoke 1, N/N. */
  deltaTensionPerSideN: number;
  /** Change for 1 N inwards at the rim at spoke 1 (the road's push), N/N. */
  deltaTensionPerRadialN: number;
}

/** One stiffness with and without the softening of pretension. */
export interface WheelStiffnesses {
  /** Headlines: mean of at a spoke and midway, pretension included. */
  lateralNPerMm: number;
  radialNPerMm: number;
  torsionalNmPerDeg: number;
  lateralAtSpokeNPerMm: number;
  lateralMidwayNPerMm: number;
  radialAtSpokeNPerMm: number;
  radialMidwayNPerMm: number;
  lateralUntensionedNPerMm: number;
  radialUntensionedNPerMm: number;
  torsionalUntensionedNmPerDeg: number;
}

/** One row of a comparison: what changing this alone does, averaged over the orders of change. */
export interface WheelTerm {
  term: string;
  /** The values in words: `14 spokes → 20`. */
  change: string;
  /** Part of the lateral difference, N/mm. */
  lateralNPerMm: number;
  /** Share of the whole difference, percent; null when the whole is next to nothing. */
  sharePercent: number | null;
  radialNPerMm: number;
  radialSharePercent: number | null;
}

export interface WheelComparison {
  name: string;
  other: string;
  stiffnesses: WheelStiffnesses;
  /** Other less this one, N/mm. */
  lateralDifferenceNPerMm: number;
  radialDifferenceNPerMm: number;
  terms: WheelTerm[];
}

/** A load that stands on the wheel; what is not asked is 0. */
export interface WheelLoadCase {
  /** To the left at the rim, N. */
  sideN: number;
  /** Towards the axle: the road's push, N. */
  inwardN: number;
  /** Torque of the brake disc on the hub, N m; drive is below zero. */
  brakeNm: number;
  /** Place of the load and of the tyre's contact: a spoke's number, or a half for midway to the next. */
  atSpoke: number;
}

/** Where the rim goes at one place, mm. */
export interface RimMovement {
  /** From spoke 1 in the direction of rotation. */
  positionDeg: number;
  leftMm: number;
  outwardMm: number;
  forwardMm: number;
}

/** The wheel under one load; spokes pull and never push. */
export interface WheelUnderLoad {
  load: WheelLoadCase & { positionDeg: number };
  atLoad: RimMovement;
  /** Beside every spoke: the deflected shape, free of slop. */
  rim: RimMovement[];
  spokes: { spoke: number; tensionN: number; changeN: number; slack: boolean }[];
  slackSpokes: number[];
  /** Share of the load at which the first spoke goes slack: above 1 all stay tight; null: none loses any. */
  firstSlackShare: number | null;
}

/** One tightening turn of each nipple: row = the spoke that answers, column = the nipple turned. */
export interface NippleInfluence {
  threadPitchMm: number;
  tensionPerTurnN: number[][];
  /** Of the rim beside the answering spoke. */
  leftPerTurnMm: number[][];
  outwardPerTurnMm: number[][];
}

/** An interval whose end is null where no rim stiffness reaches it. */
export type OpenInterval = [number | null, number | null];

/** Rim stiffness fitted to a bench reading. */
export interface RimFit {
  benchLateralNPerMm: number;
  /** The bench's own 95 % interval; null when it was not given. */
  benchLateralCi95: Interval | null;
  /** Both lateral bending and torsion of the sheet's rim times this factor. */
  rimFactor: number;
  /** From the bench's interval alone: the sheet is taken at its word. */
  rimFactorCi95: OpenInterval | null;
  iLateralM4: number;
  torsionM4: number;
  /** Of the fitted wheel, N/mm: the reading again. */
  lateralNPerMm: number;
  /** Prediction for the compared wheel with its rim scaled by the same factor, N/mm. */
  predictedOtherNPerMm: number | null;
  predictedOtherCi95: OpenInterval | null;
}

export interface WheelFinding extends WheelStiffnesses {
  schema: 'lapbench/wheel@1';
  name: string;
  spokes: WheelSpoke[];
  sides: {
    side: Side;
    count: number;
    meanTensionN: number;
    lengthM: number;
    bracingAngleDeg: number;
  }[];
  /** Mean tension of the tighter side at which the lateral stiffness is gone, N; null: none found. */
  collapseTensionN: number | null;
  /** Force pressing the rim together at rest, N. */
  rimCompressionN: number;
  /** With the springs of the bearings, as a bench sees it; null: the sheet gives none. */
  onBearings: { lateralNPerMm: number; radialNPerMm: number; torsionalNmPerDeg: number } | null;
  invented: boolean;
  /** Side load at the rim at a spoke under which the first spoke goes slack, N; null: none found. */
  firstSlackSideLoadN: number | null;
  comparison: WheelComparison | null;
  fit: RimFit | null;
  /** Null when no load was asked for. */
  underLoad: WheelUnderLoad | null;
  /** Null when it was not asked for. */
  influence: NippleInfluence | null;
  warnings: Problem[];
  cautions: string[];
  method: 'wheel 1';
  inputs: { file: string; sha256: string }[];
}
