import { z } from 'zod';
import { raceQuantities } from './race-quantities.ts';

/**
 * The race sheet as a person writes it, described once: the type, the check and the published JSON Schema
 * (schemas/race.schema.json) all come from here.
 */

const number = (path: string, description: string) => {
  const { min, max, gap } = raceQuantities[path];
  return z
    .number()
    .min(min)
    .max(max)
    .refine((value) => gap === undefined || !(value > gap[0] && value <= gap[1]))
    .describe(description);
};

const text = (description: string) =>
  z
    .string()
    .min(1)
    .max(200)
    .regex(/^[^\p{Cc}\p{Zl}\p{Zp}]+$/u)
    .describe(description);

const file = (description: string) =>
  text(description).regex(/^(?![/\\])(?!.*(^|[/\\])\.\.([/\\]|$)).+$/);

const id = z
  .string()
  .regex(/^[\p{L}\p{N}._+-]{1,40}$/u)
  .describe('Short name, letters, digits and . _ + -');

const course = z
  .strictObject({
    file: file('A recording of the course beside the sheet: FIT, TCX, GPX or CSV.').optional(),
    laps: z
      .union([z.literal('all'), z.int().min(1).max(1000)])
      .describe('Of a recording that rides one loop several times: so many laps, or all.')
      .optional(),
    heightsFrom: z
      .enum(['barometer', 'satellite', 'map'])
      .describe('Where the heights come from. Without it their error is learned from them.')
      .optional(),
    lengthM: number('course.lengthM', 'Without a file: length along the road, m.').optional(),
    gradientPercent: number('course.gradientPercent', 'Its slope, %. Default 0.').optional(),
    headingDeg: number('course.headingDeg', 'Direction ridden towards, ° from north.').optional(),
    stretches: z
      .array(
        z.strictObject({
          lengthM: number('course.stretches.*.lengthM', 'Length along the road, m.'),
          gradientPercent: number('course.stretches.*.gradientPercent', 'Slope, %.').default(0),
          headingDeg: number(
            'course.stretches.*.headingDeg',
            'Direction ridden towards, ° from north.',
          ).optional(),
        }),
      )
      .min(1)
      .max(2000)
      .describe('Without a file: even stretches one after the other.')
      .optional(),
    startAltitudeM: number(
      'course.startAltitudeM',
      'Height of the start, m. Default 0.',
    ).optional(),
    stepM: number('course.stepM', 'Step of the simulation, m. Default 1.').default(1),
  })
  .describe('The road: a recording, one even road, or even stretches.');

const system = z
  .strictObject({
    massKg: number('system.massKg', 'Rider, bicycle and all that is carried, kg.'),
    massStandardUncertaintyKg: number(
      'system.massStandardUncertaintyKg',
      'Standard uncertainty of it, kg. Default 0.',
    ).default(0),
    wheelInertiaKgM2: number(
      'system.wheelInertiaKgM2',
      'Moment of inertia of both wheels together, kg m². Default 0.14.',
    ).default(0.14),
    wheelRadiusM: number('system.wheelRadiusM', 'Rolling radius, m. Default 0.335.').default(0.335),
    drivetrainEfficiency: number(
      'system.drivetrainEfficiency',
      'Share of the metered power that reaches the road; 1 for a meter in the rear hub. Default 0.975.',
    ).default(0.975),
    bearingLosses: z
      .boolean()
      .describe('Whether wheel bearings cost what Martin et al. (1998) give. Default true.')
      .default(true),
  })
  .describe('What is the same on every setup.');

const rider = z
  .strictObject({
    startSpeedMps: number('rider.startSpeedMps', 'Speed at the start, m/s. Default 0.').default(0),
    walkBelowMps: number(
      'rider.walkBelowMps',
      'Lowest speed that is ridden; where the power climbs no faster, the rider walks at it. Default 1.',
    ).default(1),
  })
  .describe('How the ride begins, and when the rider walks.');

const air = z
  .strictObject({
    temperatureC: number('air.temperatureC', 'Temperature, °C.'),
    pressureHPa: number(
      'air.pressureHPa',
      'Pressure where it was read, not reduced to sea level, hPa.',
    ),
    relativeHumidityPercent: number(
      'air.relativeHumidityPercent',
      'Relative humidity, %. Default 50.',
    ).default(50),
    altitudeM: number(
      'air.altitudeM',
      'Height of the place where it was read, m. Default: the start of the course.',
    ).optional(),
    densityStandardUncertaintyPercent: number(
      'air.densityStandardUncertaintyPercent',
      'Standard uncertainty of the density, %. Default 0.5.',
    ).default(0.5),
  })
  .describe('The air; its density follows the height of the road.');

const wind = z
  .strictObject({
    speedMps: number('wind.speedMps', 'Speed at the rider’s height, m/s.').optional(),
    fromDeg: number('wind.fromDeg', 'Where it comes from, ° clockwise from north.').optional(),
    headMps: number(
      'wind.headMps',
      'Instead of both: a headwind that is the same everywhere.',
    ).optional(),
    standardUncertaintyMps: number(
      'wind.standardUncertaintyMps',
      'Standard uncertainty of each part of the wind, m/s. Default 0.',
    ).default(0),
  })
  .describe('The wind. Leave it out for still air.');

const power = z
  .strictObject({
    kind: z
      .enum(['constant', 'gradient', 'ride'])
      .describe('Even power, power by the slope, or the power of a ride on this course.'),
    powerW: number('power.powerW', 'For constant: power at the meter, W.').optional(),
    table: z
      .array(
        z.strictObject({
          gradientPercent: number('power.table.*.gradientPercent', 'Slope over 50 m, %.'),
          powerW: number('power.table.*.powerW', 'Power there, W.'),
        }),
      )
      .min(1)
      .max(100)
      .describe('For gradient: power at slopes that rise from entry to entry.')
      .optional(),
    file: file(
      'For ride: a recording with power on this course; default the course’s own.',
    ).optional(),
    standardUncertaintyPercent: number(
      'power.standardUncertaintyPercent',
      'Standard uncertainty of the power, %. Default 0.',
    ).default(0),
  })
  .describe('The plan of power.');

const surface = z
  .strictObject({
    crr: number('surface.crr', 'Rolling resistance coefficient.'),
    crrStandardUncertainty: number(
      'surface.crrStandardUncertainty',
      'Standard uncertainty of it, shared by all setups. Default 0.',
    ).default(0),
    sections: z
      .array(
        z.strictObject({
          fromM: number('surface.sections.*.fromM', 'Start along the course, m.'),
          toM: number('surface.sections.*.toM', 'End, m.'),
          crr: number('surface.sections.*.crr', 'Rolling resistance coefficient there.'),
          name: text('What it is: cobbles, gravel.').optional(),
        }),
      )
      .max(500)
      .describe('Stretches of other surfaces.')
      .default([]),
  })
  .describe('The surface.');

const corners = z
  .strictObject({
    lateralAccelerationMps2: number(
      'corners.lateralAccelerationMps2',
      'Sideways acceleration you trust the tyres with on that day, m/s². There is no default.',
    ),
    brakingMps2: number(
      'corners.brakingMps2',
      'Deceleration before corners, m/s². Default 2 (common practice, no source).',
    ).default(2),
  })
  .describe('Limits in corners. Left out: corners limit nobody, with a warning.');

const setup = z.strictObject({
  id,
  name: text('Full name. Default: the id.').optional(),
  cdaM2: number('setups.*.cdaM2', 'Drag area, m². Left out: from the finding.').optional(),
  cdaStandardUncertaintyM2: number(
    'setups.*.cdaStandardUncertaintyM2',
    'Standard uncertainty of its own, m². Default 0.',
  ).optional(),
  yaw: z
    .array(
      z.strictObject({
        yawDeg: number('setups.*.yaw.*.yawDeg', 'Yaw, °, from entry to entry rising.'),
        cdaM2: number('setups.*.yaw.*.cdaM2', 'Drag area at it, m².'),
      }),
    )
    .min(2)
    .max(60)
    .describe('Instead of cdaM2: drag area by yaw, alike to both sides.')
    .optional(),
  yawReference: z
    .enum(['along', 'whole'])
    .describe(
      'What those multiply: the airspeed along the bike (as lapbench drag), or the whole airspeed (as wind tunnels). Default along.',
    )
    .default('along'),
  massOffsetKg: number('setups.*.massOffsetKg', 'Mass added by this setup, kg. Default 0.').default(
    0,
  ),
  wheelInertiaKgM2: number(
    'setups.*.wheelInertiaKgM2',
    'Inertia of its wheels, kg m². Default: the system’s.',
  ).optional(),
  crrOffset: number(
    'setups.*.crrOffset',
    'Added to every rolling resistance coefficient. Default 0.',
  ).default(0),
  crrOffsetStandardUncertainty: number(
    'setups.*.crrOffsetStandardUncertainty',
    'Standard uncertainty of that. Default 0.',
  ).default(0),
});

export const raceSheetSchema = z
  .strictObject({
    name: text('What the race is called.'),
    invented: z.boolean().describe('True for made-up data. Default false.').default(false),
    course,
    system,
    rider: rider.optional(),
    air,
    wind: wind.optional(),
    power,
    surface,
    corners: corners.optional(),
    finding: file(
      'A finding of field drag beside the sheet, as lapbench drag --json or lapbench show --json prints it: gives CdA and what is known of it together.',
    ).optional(),
    setups: z.array(setup).min(1).max(12).describe('What could be ridden.'),
    reference: id
      .describe(
        'The setup the others are set against. Default: the finding’s control, else the first.',
      )
      .optional(),
    sharedCdaStandardUncertaintyM2: number(
      'sharedCdaStandardUncertaintyM2',
      'Standard uncertainty that the setups’ own drag areas share (rider, method), m²: it cancels in differences. Default 0.',
    ).default(0),
    draws: z
      .int()
      .min(raceQuantities.draws.min)
      .max(raceQuantities.draws.max)
      .describe('How often the uncertain is drawn. Default 1000.')
      .default(1000),
    plan: z
      .strictObject({
        holds: z
          .enum(['weighted', 'mean'])
          .describe(
            'What the plan of least time holds: the power mean with exponent 4 of 30 s means, or the plain mean. Default weighted.',
          )
          .default('weighted'),
        leastW: number('plan.leastW', 'Lowest power, W. Default 0.').default(0),
        mostW: number(
          'plan.mostW',
          'Highest power, W. Default 1.5 times the plan’s highest.',
        ).optional(),
      })
      .describe('Look for the plan of power that takes least time.')
      .optional(),
  })
  .describe('A race: course, weather, power and setups.');

export type RaceSheet = z.output<typeof raceSheetSchema>;
