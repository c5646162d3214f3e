import { z } from 'zod';
import { wheelQuantities } from './wheel-quantities.ts';

/**
 * The wheel sheet as a person writes it, described once: the type, the check and the published JSON
 * Schema (schemas/wheel.schema.json) all come from here.
 */

const quantity = (path: string, description: string) => {
  const { min, max, gap } = wheelQuantities[path];
  return z
    .number()
    .min(min)
    .max(max)
    .refine((value) => gap === undefined || !(value > gap[0] && value <= gap[1]))
    .describe(description);
};

const whole = (path: string, description: string) => {
  const { min, max } = wheelQuantities[path];
  return z.int().min(min).max(max).describe(description);
};

const onLine = '[^\\p{Cc}\\p{Zl}\\p{Zp}]';

const section = z
  .strictObject({
    outlineM: z
      .array(
        z
          .array(quantity('rim.section.outlineM.*.*', 'Outwards, then to the left, m.'))
          .min(2)
          .max(2)
          .describe('One point: [outwards, to the left], m, from any common level.'),
      )
      .min(3)
      .max(400)
      .describe('Points of the closed profile in order, once round, the first not repeated.'),
    wallThicknessM: quantity('rim.section.wallThicknessM', 'Thickness of all walls, m.').optional(),
    wallThicknessesM: z
      .array(quantity('rim.section.wallThicknessesM.*', 'Thickness of one wall, m.'))
      .min(3)
      .max(400)
      .describe(
        'Instead of wallThicknessM: one thickness a wall, m, each from its point to the next.',
      )
      .optional(),
    outlineAt: z
      .enum(['middle', 'outside'])
      .describe(
        'Where the outline was taken: along the middle of the wall or along its outside. Default middle.',
      )
      .default('middle'),
  })
  .describe(
    'Outline and wall of a closed thin-walled rim, instead of areaM2, iRadialM4, iLateralM4 and torsionM4 (Bredt).',
  );

const rim = z
  .strictObject({
    radiusM: quantity('rim.radiusM', 'Radius of the line through the centroids of the rim, m.'),
    materialEPa: quantity('rim.materialEPa', 'Young’s modulus along the rim, Pa.'),
    materialGPa: quantity(
      'rim.materialGPa',
      'Shear modulus, Pa (the P is of pascal: 6e9 is 6 GPa).',
    ),
    areaM2: quantity('rim.areaM2', 'Cross-section of the material, m².').optional(),
    iRadialM4: quantity(
      'rim.iRadialM4',
      'Second moment of area that resists bending in the wheel’s plane, m⁴.',
    ).optional(),
    iLateralM4: quantity(
      'rim.iLateralM4',
      'Second moment of area that resists bending out of the wheel’s plane, m⁴.',
    ).optional(),
    torsionM4: quantity('rim.torsionM4', 'Torsion constant J, m⁴.').optional(),
    section: section.optional(),
    nippleOffsetM: quantity(
      'rim.nippleOffsetM',
      'How far the seats of the spokes lie from the centroid line, m, positive towards the hub. Default 0.',
    ).default(0),
    massKg: quantity(
      'rim.massKg',
      'Mass of the rim, kg. Default 0.5 (common practice, no source); no stiffness depends on it.',
    ).default(0.5),
    shearCentreOffsetM: quantity(
      'rim.shearCentreOffsetM',
      'How far the shear centre lies from the centroid, m, positive towards the hub. Default 0, or from the section.',
    ).optional(),
  })
  .describe('The rim: a uniform closed ring.');

const bySide = (path: string, description: string) =>
  z
    .strictObject({
      left: quantity(`${path}.left`, 'Left as seen by the rider, m.'),
      right: quantity(`${path}.right`, 'Right, m.'),
    })
    .describe(description);

const hub = z
  .strictObject({
    flangeRadiusM: bySide('hub.flangeRadiusM', 'Radius of the circle of spoke holes, m.'),
    flangeOffsetM: bySide(
      'hub.flangeOffsetM',
      'Distance of each flange from the rim’s middle plane, m.',
    ),
    bearingStiffness: z
      .strictObject({
        radialNPerM: quantity('hub.bearingStiffness.radialNPerM', 'Across the axle, N/m.'),
        axialNPerM: quantity('hub.bearingStiffness.axialNPerM', 'Along the axle, N/m.'),
        tiltNmPerRad: quantity('hub.bearingStiffness.tiltNmPerRad', 'Against tilting, N m/rad.'),
      })
      .describe('Springs between hub shell and axle. Default: held rigid.')
      .optional(),
  })
  .describe('The hub.');

const side = (name: 'left' | 'right') => {
  const at = `spokes.${name}`;
  return z
    .strictObject({
      count: whole(`${at}.count`, 'How many spokes.'),
      cross: whole(`${at}.cross`, 'How many spokes of its own side each one crosses; 0 is radial.'),
      hubTurnDeg: quantity(
        `${at}.hubTurnDeg`,
        'How far round the hub a spoke’s end is turned from its place at the rim, degrees, for straight-pull hubs. Default 360·cross/count, as evenly spaced holes give.',
      ).optional(),
      materialEPa: quantity(`${at}.materialEPa`, 'Young’s modulus along the spoke, Pa.'),
      areaM2: quantity(
        `${at}.areaM2`,
        'Cross-section of one spoke, m². May be left out where diameterM, or widthM and thicknessM, are given.',
      ).optional(),
      diameterM: quantity(`${at}.diameterM`, 'Diameter of a round spoke, m.').optional(),
      widthM: quantity(
        `${at}.widthM`,
        'Width of a bladed spoke, m; needed for its pitch.',
      ).optional(),
      thicknessM: quantity(`${at}.thicknessM`, 'Thickness of a bladed spoke, m.').optional(),
      densityKgM3: quantity(`${at}.densityKgM3`, 'Density, kg/m³.'),
      meanTensionN: quantity(
        `${at}.meanTensionN`,
        'Mean tension of the side, N. Left out on one side, it follows from balance along the axle.',
      ).optional(),
    })
    .describe(`The spokes of the ${name} side; all alike.`);
};

/** The whole sheet. */
export const wheelSheetSchema = z
  .strictObject({
    name: z
      .string()
      .min(1)
      .max(200)
      .regex(new RegExp(`^${onLine}*$`, 'u'))
      .describe('Name for tables and figures.'),
    invented: z.boolean().describe('true: the wheel is invented. Default false.').default(false),
    rim,
    hub,
    spokes: z
      .strictObject({ left: side('left'), right: side('right') })
      .describe(
        'The spokes. Equal counts alternate left and right; of 2:1 one of the smaller side stands between two of the larger.',
      ),
    discSide: z
      .enum(['left', 'right'])
      .describe('Side of the brake disc. Default: none.')
      .optional(),
  })
  .describe('One wheel: rim, hub, spokes and lacing, in SI units.');

/** A sheet with its defaults filled in. */
export type FilledWheelSheet = z.output<typeof wheelSheetSchema>;
