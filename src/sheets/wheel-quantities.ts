/**
 * Every number of a wheel sheet: its bounds, and the wrong units in which it is most often written. The
 * bounds are common practice, no source: wider than any bicycle wheel, narrow enough that a slip of unit
 * falls outside.
 */
import type { Quantity, WrongUnit } from './quantities.ts';

const scaled = (from: number, to: number, looksLike: string, factor: number): WrongUnit => ({
  from,
  to,
  looksLike,
  convert: (value) => Number((value * factor).toPrecision(6)),
});

const quantity = (
  name: string,
  unit: string,
  min: number,
  max: number,
  ...wrongUnits: WrongUnit[]
): Quantity => ({ name, unit, min, max, wrongUnits });

const length = (name: string, min: number, max: number, ...more: WrongUnit[]): Quantity =>
  quantity(name, 'm', min, max, ...more, scaled(min * 1000, max * 1000, 'millimetres', 0.001));

const modulus = (name: string): Quantity =>
  quantity(
    name,
    'Pa',
    0.3e9,
    1e12,
    scaled(0.3, 1000, 'gigapascals', 1e9),
    scaled(1000.0001, 1e6, 'megapascals (N/mm²)', 1e6),
  );

const secondMoment = (name: string, min: number): Quantity =>
  quantity(
    name,
    'm⁴',
    min,
    2e-6,
    scaled(0.001, 99.9999, 'cm⁴', 1e-8),
    scaled(100, 2e6, 'mm⁴', 1e-12),
  );

const flange = (side: string): Record<string, Quantity> => ({
  [`hub.flangeRadiusM.${side}`]: length(
    `the radius of the ${side} circle of spoke holes`,
    0.006,
    0.1,
  ),
  [`hub.flangeOffsetM.${side}`]: length(
    `the distance of the ${side} flange from the rim's middle plane`,
    0.001,
    0.08,
  ),
});

const spokes = (side: string): Record<string, Quantity> => ({
  [`spokes.${side}.count`]: quantity(`the number of spokes on the ${side}`, '', 3, 72),
  [`spokes.${side}.cross`]: quantity(`how many spokes of its side each one crosses`, '', 0, 6),
  [`spokes.${side}.hubTurnDeg`]: quantity(
    'how far round the hub a spoke’s end is turned',
    'degrees',
    0,
    170,
  ),
  [`spokes.${side}.materialEPa`]: modulus('Young’s modulus of the spokes'),
  [`spokes.${side}.areaM2`]: quantity(
    'the cross-section of one spoke',
    'm²',
    5e-7,
    3e-5,
    scaled(0.5, 30, 'mm²', 1e-6),
  ),
  [`spokes.${side}.diameterM`]: length('the diameter of a round spoke', 0.0008, 0.006),
  [`spokes.${side}.widthM`]: length('the width of a bladed spoke', 0.0008, 0.01),
  [`spokes.${side}.thicknessM`]: length('the thickness of a bladed spoke', 0.0003, 0.006),
  [`spokes.${side}.densityKgM3`]: quantity(
    'the density of the spokes',
    'kg/m³',
    800,
    20_000,
    scaled(0.8, 20, 'g/cm³', 1000),
  ),
  [`spokes.${side}.meanTensionN`]: {
    ...quantity('the mean tension of the side', 'N', 0, 4000),
    gap: [0, 10],
    wrongUnits: [scaled(Number.MIN_VALUE, 10, 'kilonewtons', 1000)],
  },
});

/** By path in the sheet, list places written `*`. */
export const wheelQuantities: Record<string, Quantity> = {
  'rim.radiusM': length(
    'the radius of the rim’s centroid line',
    0.1,
    0.4,
    scaled(0.4001, 0.8, 'a diameter', 0.5),
    scaled(10, 40, 'centimetres', 0.01),
    scaled(400.001, 800, 'a diameter in millimetres', 0.0005),
  ),
  'rim.materialEPa': modulus('Young’s modulus of the rim'),
  'rim.materialGPa': modulus('the shear modulus of the rim'),
  'rim.areaM2': quantity(
    'the cross-section of the rim',
    'm²',
    1e-5,
    2e-3,
    scaled(0.1, 9.9999, 'cm²', 1e-4),
    scaled(10, 2000, 'mm²', 1e-6),
  ),
  'rim.iRadialM4': secondMoment('the second moment against bending in the wheel’s plane', 1e-11),
  'rim.iLateralM4': secondMoment('the second moment against bending out of the plane', 1e-11),
  'rim.torsionM4': secondMoment('the torsion constant', 1e-13),
  'rim.nippleOffsetM': {
    ...length('how far the spokes’ seats lie from the centroid line', -0.03, 0.08),
    wrongUnits: [scaled(0.5, 80, 'millimetres', 0.001), scaled(-30, -0.5, 'millimetres', 0.001)],
  },
  'rim.shearCentreOffsetM': {
    ...length('how far the shear centre lies from the centroid', -0.05, 0.05),
    wrongUnits: [scaled(0.5, 50, 'millimetres', 0.001), scaled(-50, -0.5, 'millimetres', 0.001)],
  },
  'rim.massKg': quantity('the mass of the rim', 'kg', 0.05, 5, scaled(50, 5000, 'grams', 0.001)),
  'rim.section.outlineM.*.*': {
    ...length('a point of the outline', -0.5, 0.5),
    wrongUnits: [
      scaled(0.5001, 500, 'millimetres', 0.001),
      scaled(-500, -0.5001, 'millimetres', 0.001),
    ],
  },
  'rim.section.wallThicknessM': length('the thickness of the wall', 0.0002, 0.02),
  'rim.section.wallThicknessesM.*': length('the thickness of a wall', 0.0002, 0.02),
  ...flange('left'),
  ...flange('right'),
  ...spokes('left'),
  ...spokes('right'),
  'hub.bearingStiffness.radialNPerM': stiffness('across the axle', 'N/m', 1e5, 1e12),
  'hub.bearingStiffness.axialNPerM': stiffness('along the axle', 'N/m', 1e5, 1e12),
  'hub.bearingStiffness.tiltNmPerRad': stiffness('against tilting', 'N m/rad', 10, 1e9),
};

function stiffness(name: string, unit: string, min: number, max: number): Quantity {
  return quantity(`the stiffness of the bearings ${name}`, unit, min, max);
}
