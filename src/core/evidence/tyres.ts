/** Two tyres on their rims under a rider, after checking, in SI units; pressures are above the air's. */

/** From fresh asphalt to loose stone; what the words mean stands in docs/methods/tyres.md. */
export type RoadSurface = 'smooth' | 'worn' | 'rough' | 'gravel';

/** What the rider wants of the range that the surface allows. */
export type PressureAim = 'speed' | 'balance' | 'comfort';

/** One tyre on one rim. */
export interface TyreOnRim {
  /** First number of the ETRTO designation. */
  designatedWidthM: number;
  /** Second number of it: the diameter of the bead seat. */
  beadSeatDiameterM: number;
  /** Across the inflated tyre; null: not measured. */
  measuredWidthM: number | null;
  /** From the tyre's sidewall. */
  tyreMaximumPa: number;
  /** From the tyre's sidewall; null: none is given. */
  tyreMinimumPa: number | null;
  /** Between the rim's flanges. */
  rimInnerWidthM: number;
  rimOuterWidthM: number | null;
  /** From the rim or its manual; null: not known. */
  rimMaximumPa: number | null;
  /** Straight-sided: no hooks hold the bead. */
  hookless: boolean;
  /** What is in it now; null: not said. */
  pressurePa: number | null;
}

/** What the tyres sheet says. */
export interface TyresSetup {
  title: string;
  invented: boolean;
  /** Rider, bicycle and all that is carried. */
  massKg: number;
  massStandardUncertaintyKg: number;
  /** Of the system's weight, on the front wheel, in riding position. */
  frontShare: number;
  frontShareStandardUncertainty: number;
  surface: RoadSurface;
  aim: PressureAim;
  front: TyreOnRim;
  rear: TyreOnRim;
}
