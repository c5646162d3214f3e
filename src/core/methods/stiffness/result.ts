import type { Interval, Problem } from '../../units/index.ts';

/** A reading as it went into the fit, for tables and the drawn curve. */
export interface FittedReading {
  direction: 'load' | 'unload';
  loadN: number;
  /** As read, with the sign that makes it grow with the load. */
  deflectionMm: number;
  /** Line of the file, from 1. */
  line: number | null;
  /** Which part of the fit it belongs to: below the preload, on the line, or above the range. */
  part: 'slop' | 'line' | 'beyond';
}

/** One remount at one position: one loading and, where taken, one unloading. */
export interface StiffnessSeries {
  remount: string;
  /** From 1; above 1 where the wheel was loaded several times without taking it out. */
  cycle: number;
  positionDeg: number | null;
  /** Loading branch from preload to preload + load, N/mm. Null when left out. */
  lateralNPerMm: number | null;
  /** Standard uncertainty from the readings of this series alone; null with two readings. */
  standardUncertaintyNPerMm: number | null;
  /** Slope of the unloading branch, N/mm. */
  unloadingNPerMm: number | null;
  /** Line of the loading branch: deflection = interceptMm + load · slopeMmPerN. */
  line: { interceptMm: number; slopeMmPerN: number } | null;
  slopMm: number | null;
  slopStandardUncertaintyMm: number | null;
  /** Load at which the slop is taken up, N, where readings show it. */
  slopTakenUpN: number | null;
  /** Deflection left at no load after unloading, mm. */
  zeroShiftMm: number | null;
  hysteresisPercent: number | null;
  readings: FittedReading[];
  used: boolean;
  /** Why it is left out. */
  reason: string | null;
}

/** Lateral stiffness and slop of one wheel on the bench. */
export interface StiffnessFinding {
  schema: 'lapbench/stiffness@1';
  /** Mean over remounts of the stiffness from preload to preload + load. */
  lateralNPerMm: number;
  /** Holds the scatter over remounts; with one remount only that of the readings (see warnings). */
  ci95: Interval;
  /** Deflection in the fixture and bearings before the wheel itself carries the load; null: not seen. */
  slopMm: number | null;
  slopCi95: Interval | null;
  /** Largest gap between unloading and loading at the same load, percent of the deflection in the range. */
  hysteresisPercent: number | null;
  zeroShiftMm: number | null;
  zeroShiftCi95: Interval | null;
  /** Deflection from preload to preload + load, mm. */
  deflectionMm: number;
  preloadN: number;
  loadN: number;
  /** What the interval rests on. */
  intervalFrom: 'remounts' | 'readings';
  degreesOfFreedom: number;
  /** Standard deviation of the stiffness from remount to remount; null with one. */
  remountScatterNPerMm: number | null;
  /** Mean stiffness at each position, N/mm. */
  positions: { positionDeg: number | null; lateralNPerMm: number; remounts: number }[];
  /** Readings used. */
  readings: number;
  remounts: number;
  series: StiffnessSeries[];
  warnings: Problem[];
  /** Always stand with the result. */
  cautions: string[];
  method: 'stiffness 1';
  inputs: { file: string; sha256: string }[];
}
