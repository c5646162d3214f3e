import { z } from 'zod';
import { descentQuantities } from './descent-quantities.ts';
import { fileName } from './schema.ts';

/**
 * The descent sheet as a person writes it, described once: the type, the check and the published JSON
 * Schema (schemas/descent.schema.json) all come from here.
 */

const quantity = (path: string, description: string) => {
  const { min, max, gap } = descentQuantities[path];
  return z
    .number()
    .min(min)
    .max(max)
    .refine((value) => gap === undefined || !(value > gap[0] && value <= gap[1]))
    .describe(description);
};

const recording = 'beside the sheet or in a folder under it: FIT, TCX, GPX or CSV.';

const course = z
  .strictObject({
    lengthM: quantity('course.lengthM', 'Length along the road, m.').optional(),
    gradientPercent: quantity(
      'course.gradientPercent',
      'Mean gradient, %, a descent counted above zero: 25 falls 25 m in 100 m.',
    ).optional(),
    file: fileName
      .describe(
        `Recording or route of the descent, with its heights, ${recording} Instead of the other two.`,
      )
      .optional(),
  })
  .describe('Where it goes down: lengthM and gradientPercent, or file.');

const speed = z
  .strictObject({
    kind: z
      .enum(['drag', 'pulse', 'ride'])
      .describe(
        'drag: brakes on all the way at one speed. pulse: on and off at that speed on the mean. ride: as recorded.',
      ),
    kmh: quantity('speed.kmh', 'Mean speed, km/h; for drag and pulse.').optional(),
    onSeconds: quantity('speed.onSeconds', 'For pulse: brakes on, s.').optional(),
    offSeconds: quantity('speed.offSeconds', 'For pulse: brakes off, s.').optional(),
    file: fileName
      .describe(`For ride: its recording with speed and altitude, ${recording}`)
      .optional(),
  })
  .describe('How it is ridden.');

const brake = (at: 'front' | 'rear') =>
  z
    .strictObject({
      rotorMm: z
        .literal([140, 160, 180, 200, 203])
        .describe('Diameter of the rotor, mm: 140, 160, 180, 200 or 203.'),
      build: z
        .enum(['steel', 'layered'])
        .describe('steel: one piece. layered: steel faces on an aluminium core.'),
      pads: z.enum(['resin', 'metal']).describe('Kind of the pads; metal: sintered.'),
      trackWidthMm: quantity(
        `brakes.${at}.trackWidthMm`,
        'Radial width of the braking track, mm. Default by size.',
      ).optional(),
      trackThicknessMm: quantity(
        `brakes.${at}.trackThicknessMm`,
        'Thickness of the track as it is now, worn, mm. Default 1.8.',
      ).optional(),
      trackMassG: quantity(
        `brakes.${at}.trackMassG`,
        'Mass of the braking track, g. Default by size and thickness.',
      ).optional(),
      carrierMassG: quantity(
        `brakes.${at}.carrierMassG`,
        'Mass of arms or carrier, g. Default by size.',
      ).optional(),
      padDepthMm: quantity(
        `brakes.${at}.padDepthMm`,
        'Friction material left on each pad, mm. Default 2.',
      ).optional(),
    })
    .describe(`The ${at} brake.`);

const cooldown = z
  .strictObject({
    brake: z.enum(['front', 'rear']).describe('The brake it was measured on.'),
    kmh: quantity('cooldown.kmh', 'Steady speed while it cooled, brake off, km/h; 0 standing.'),
    readings: z
      .array(
        z
          .strictObject({
            timeS: quantity('cooldown.readings.*.timeS', 'Seconds since the first reading.'),
            temperatureC: quantity('cooldown.readings.*.temperatureC', 'Braking track, °C.'),
          })
          .describe('One reading: {timeS: 30, temperatureC: 180}.'),
      )
      .min(3)
      .max(2000)
      .describe('Readings in order, the first at its start.'),
    uncertaintyK: quantity(
      'cooldown.uncertaintyK',
      'Standard uncertainty of one reading, K. Default 5.',
    ).default(5),
    airTemperatureC: quantity(
      'cooldown.airTemperatureC',
      'Air then, °C. Default: that of the descent.',
    ).optional(),
  })
  .describe('A cool-down that was measured; it narrows the band.');

/** The whole sheet. */
export const descentSheetSchema = z
  .strictObject({
    title: z
      .string()
      .min(1)
      .max(200)
      .regex(/^[^\p{Cc}\p{Zl}\p{Zp}]*$/u)
      .describe('Name for tables.')
      .optional(),
    invented: z.boolean().describe('true: the descent is invented. Default false.').default(false),
    course: course.optional(),
    system: z
      .strictObject({
        massKg: quantity('system.massKg', 'Rider, bicycle and all that is carried, kg.'),
      })
      .describe('What goes down.'),
    speed,
    brakes: z
      .strictObject({
        frontShare: quantity(
          'brakes.frontShare',
          'Share of the braking that the front does, 0 to 1.',
        ),
        front: brake('front'),
        rear: brake('rear'),
        fluid: z
          .enum(['dot4', 'dot51', 'mineral'])
          .describe('What is behind the pads. Default dot4.')
          .default('dot4'),
      })
      .describe('Both brakes.'),
    air: z
      .strictObject({
        temperatureC: quantity('air.temperatureC', '°C.'),
        pressureHPa: quantity('air.pressureHPa', 'On the spot, hPa.'),
      })
      .describe('The air; humidity is taken as 50 %, which changes nothing here.'),
    drag: z
      .strictObject({
        cdaM2: quantity('drag.cdaM2', 'Drag area, m².'),
        crr: quantity('drag.crr', 'Rolling resistance coefficient.'),
      })
      .describe('What slows the ride beside the brakes.'),
    wheel: z
      .strictObject({
        radiusM: quantity('wheel.radiusM', 'Rolling radius, m. Default 0.34.').default(0.34),
      })
      .describe('The wheel that the rotor turns with.')
      .optional(),
    again: z
      .strictObject({
        minutes: quantity(
          'again.minutes',
          'Minutes between two descents. Default: the way back up at kmh.',
        ).optional(),
        kmh: quantity(
          'again.kmh',
          'Speed between two descents, km/h; 0 standing. Default 10.',
        ).default(10),
      })
      .describe('What lies between two such descents.')
      .optional(),
    cooldown: cooldown.optional(),
  })
  .describe('One descent: road, speed, brakes and air.');

/** A sheet with its defaults filled in. */
export type FilledDescentSheet = z.output<typeof descentSheetSchema>;
