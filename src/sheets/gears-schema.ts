import { z } from 'zod';
import { designationPattern } from './designation.ts';
import { gearsQuantities } from './gears-quantities.ts';
import { fileName } from './schema.ts';

/**
 * The gears sheet as a person writes it, described once: the type, the check and the published JSON
 * Schema (schemas/gears.schema.json) all come from here.
 */

const quantity = (path: string, description: string) => {
  const { min, max } = gearsQuantities[path];
  return z.number().min(min).max(max).describe(description);
};

const teeth = (path: string, description: string) => {
  const { min, max } = gearsQuantities[path];
  return z.int().min(min).max(max).describe(description);
};

const line = (most: number) =>
  z
    .string()
    .min(1)
    .max(most)
    .regex(/^[^\p{Cc}\p{Zl}\p{Zp}]*$/u);

const road = z
  .strictObject({
    crr: quantity(
      'road.crr',
      'Rolling resistance coefficient. Default 0.006 (common practice, no source).',
    ).default(0.006),
    crrStandardUncertainty: quantity(
      'road.crrStandardUncertainty',
      'Its standard uncertainty. Default 0.001 (common practice, no source).',
    ).default(0.001),
    cdaM2: quantity(
      'road.cdaM2',
      'Drag area, m². Default 0.4 (common practice, no source).',
    ).default(0.4),
    cdaStandardUncertaintyM2: quantity(
      'road.cdaStandardUncertaintyM2',
      'Its standard uncertainty, m². Default 0.05 (common practice, no source).',
    ).default(0.05),
    airDensityKgM3: quantity(
      'road.airDensityKgM3',
      'Density of the air, kg/m³. Default 1.2 (common practice, no source).',
    ).default(1.2),
    drivetrainEfficiency: quantity(
      'road.drivetrainEfficiency',
      'Share of the power that reaches the road. Default 0.97 (common practice, no source).',
    ).default(0.97),
    drivetrainEfficiencyStandardUncertainty: quantity(
      'road.drivetrainEfficiencyStandardUncertainty',
      'Its standard uncertainty. Default 0.01 (common practice, no source).',
    ).default(0.01),
  })
  .describe('What holds the rider back.');

/** The whole sheet. */
export const gearsSheetSchema = z
  .strictObject({
    title: line(200).describe('Name for the table. Default: Gears.').default('Gears'),
    invented: z.boolean().describe('true: the data are invented. Default false.').default(false),
    chainrings: z
      .array(teeth('chainrings.*', 'Teeth of one chainring.'))
      .min(1)
      .max(3)
      .describe('Teeth of the chainrings.'),
    cassette: z
      .array(teeth('cassette.*', 'Teeth of one sprocket.'))
      .min(1)
      .max(15)
      .describe('Teeth of the sprockets.'),
    tyre: z
      .strictObject({
        designation: z
          .string()
          .regex(designationPattern)
          .describe('ETRTO designation of the rear tyre, 28-622. This or circumferenceMm.')
          .optional(),
        circumferenceMm: quantity(
          'tyre.circumferenceMm',
          'Rolled out under the rider, one turn of the rear wheel, mm; takes precedence as the surer.',
        ).optional(),
      })
      .describe('The rear tyre.'),
    cadenceRpm: quantity(
      'cadenceRpm',
      'Cadence of the table of speeds, 1/min. Default 90 (common practice, no source).',
    ).default(90),
    system: z
      .strictObject({
        massKg: quantity('system.massKg', 'Rider, bicycle and all that is carried, kg.'),
        massStandardUncertaintyKg: quantity(
          'system.massStandardUncertaintyKg',
          'Standard uncertainty of the mass, kg. Default 0.5 (common practice, no source).',
        ).default(0.5),
      })
      .describe('What goes up; needed for climbs.')
      .optional(),
    rider: z
      .strictObject({
        powerW: quantity('rider.powerW', 'Power held for the climb, at the cranks, W.'),
        powerStandardUncertaintyW: quantity(
          'rider.powerStandardUncertaintyW',
          'Its standard uncertainty, W. Default 5 (common practice, no source).',
        ).default(5),
        leastCadenceRpm: quantity(
          'rider.leastCadenceRpm',
          'The slowest cadence wanted, 1/min. Default 60 (common practice, no source).',
        ).default(60),
      })
      .describe('Who turns the cranks; needed for climbs.')
      .optional(),
    road: road.optional(),
    climbs: z
      .array(
        z
          .strictObject({
            name: line(80).describe('Name of the climb.').optional(),
            gradientPercent: quantity('climbs.*.gradientPercent', 'Rise over run, percent.'),
            gradientStandardUncertaintyPercent: quantity(
              'climbs.*.gradientStandardUncertaintyPercent',
              'Its standard uncertainty, percentage points. Default 0.5 (common practice, no source).',
            ).default(0.5),
            lengthM: quantity('climbs.*.lengthM', 'Length along the road, m.'),
          })
          .describe('A climb, or its steepest part.'),
      )
      .max(50)
      .describe('Climbs to be ridden at the rider’s power.')
      .default([]),
    course: z
      .strictObject({
        file: fileName.describe('Recording beside the sheet: FIT, TCX, GPX or CSV.'),
        steepestM: z
          .array(quantity('course.steepestM.*', 'One length, m.'))
          .min(1)
          .max(10)
          .describe('Lengths over which its steepest part is a climb. Default 100, 500 and 1000 m.')
          .default([100, 500, 1000]),
      })
      .describe('A recorded course, whose steepest parts are climbs too.')
      .optional(),
  })
  .describe('Chainrings, sprockets and tyre; climbs where they are asked.');

/** A sheet with its defaults filled in. */
export type FilledGearsSheet = z.output<typeof gearsSheetSchema>;

/** The road where the sheet says nothing of it. */
export const usualRoad = road.parse({});
