/**
 * A wheel after checking, in SI units: what the wheel sheet says and the mechanics need. The field names
 * are those of the sheet.
 */

export type Side = 'left' | 'right';

/** One value for each side; left and right as seen by the rider. */
export type BySide<T> = Record<Side, T>;

/** The rim: a uniform closed ring. */
export interface WheelRim {
  /** Radius of the line through the section's centroids. */
  radiusM: number;
  /** Young's modulus. */
  materialEPa: number;
  /** Shear modulus. */
  materialGPa: number;
  areaM2: number;
  /** Second moment that resists bending in the wheel's plane. */
  iRadialM4: number;
  /** Second moment that resists bending out of the wheel's plane. */
  iLateralM4: number;
  /** Torsion constant J, so that G·J resists twist. */
  torsionM4: number;
  /** How far the spokes' seats lie from the centroid line, positive towards the hub. */
  nippleOffsetM: number;
  massKg: number;
  /** How far the shear centre lies from the centroid, positive towards the hub; 0 when left out. */
  shearCentreOffsetM?: number;
}

/** Springs between the hub shell and the axle; turning about the axle is held in every calculation. */
export interface BearingStiffness {
  /** Across the axle, each of two directions. */
  radialNPerM: number;
  /** Along the axle. */
  axialNPerM: number;
  /** Tilting of the hub's axis, each of two directions. */
  tiltNmPerRad: number;
}

export interface WheelHub {
  /** Radius of the circle of spoke holes. */
  flangeRadiusM: BySide<number>;
  /** Distance of the flange from the rim's middle plane, positive on each side. */
  flangeOffsetM: BySide<number>;
  /** Left out or null: held rigid. */
  bearingStiffness?: BearingStiffness | null;
}

/** The spokes of one side; all alike. */
export interface SpokeSide {
  count: number;
  /** How many spokes of its own side each one crosses; 0 is radial. */
  cross: number;
  /**
   * How far round the hub a spoke's end is turned from its place at the rim, instead of what evenly spaced
   * holes and `cross` give; straight-pull hubs hold their spokes so. Left out: 2π·cross/count.
   */
  hubTurnRad?: number;
  materialEPa: number;
  areaM2: number;
  /** Of a bladed spoke, both or neither; without them it is taken as round. */
  widthM?: number;
  thicknessM?: number;
  densityKgM3: number;
  /** Mean tension; null when it follows from the other side's by balance along the axle. */
  meanTensionN: number | null;
}

export interface Wheel {
  name: string;
  rim: WheelRim;
  hub: WheelHub;
  spokes: BySide<SpokeSide>;
  /** The side of the brake disc; null without one or when not said. */
  discSide: Side | null;
}
