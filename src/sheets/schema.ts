import { z } from 'zod';
import { csvColumnNames, csvUnits } from '../core/evidence/index.ts';
import { quantities } from './quantities.ts';

/**
 * The day sheet as a person writes it, described once: the type, the check and the published JSON
 * Schema (schemas/day.schema.json) all come from here. Every default says where it comes from.
 */

/** What is taken where a sheet says nothing. */
export const dayDefaults = {
  massStandardUncertaintyKg: 0.5,
  crr: 0.005,
  crrStandardUncertainty: 0.001,
  drivetrainEfficiency: 0.977,
  drivetrainEfficiencyStandardUncertainty: 0.005,
  powerScaleStandardUncertainty: 0.01,
  relativeHumidityPercent: 50,
  wheelInertiaKgM2: 0.14,
  wheelRadiusM: 0.336,
  speedKmh: 40,
  airDensityKgM3: 1.2,
} as const;

const inGap = (value: number, gap?: [above: number, upTo: number]): boolean =>
  gap !== undefined && value > gap[0] && value <= gap[1];

const quantity = (path: string, description: string) =>
  z
    .number()
    .min(quantities[path].min)
    .max(quantities[path].max)
    .refine((value) => !inGap(value, quantities[path].gap))
    .describe(description);

const onLine = '[^\\p{Cc}\\p{Zl}\\p{Zp}]';
const lineOfText = (maximum: number) =>
  z
    .string()
    .min(1)
    .max(maximum)
    .regex(new RegExp(`^${onLine}*$`, 'u'));

/** Short name by which runs point at a setup: letters, digits, `.`, `_`, `+`, `-`, and single spaces inside. */
const setupId = z
  .string()
  .max(60)
  .regex(/^[\p{L}\p{N}]+(?:[ ._+-]+[\p{L}\p{N}+]+)*$/u);

/** A file beside the sheet or in a folder under it. */
export const fileName = z
  .string()
  .min(1)
  .max(255)
  .regex(/^(?![/\\])(?![A-Za-z]:)(?!.*(?:^|[/\\])\.\.(?:[/\\]|$))[^\p{Cc}\\]*[^\p{Cc}\\/]$/u);

const clock = z.union([
  z
    .string()
    .regex(/^\d{1,2}:[0-5]\d:[0-5]\d(?:\.\d{1,3})?$/)
    .describe('Hours, minutes and seconds on a stopwatch started with the file, "HH:MM:SS".'),
  z
    .number()
    .min(quantities['runs.*.from'].min)
    .max(quantities['runs.*.from'].max)
    .describe('Seconds.'),
]);

const system = z
  .strictObject({
    massKg: quantity(
      'system.massKg',
      'Mass of rider, bicycle, clothes, bottles and all else that is carried, kg. Weigh it; there is no default.',
    ),
    massStandardUncertaintyKg: quantity(
      'system.massStandardUncertaintyKg',
      'Standard uncertainty of that mass, kg. Default 0.5: a household scale and a bottle that empties (common practice, no source).',
    ).default(dayDefaults.massStandardUncertaintyKg),
  })
  .describe('What moves.');

const constants = z
  .strictObject({
    crr: quantity(
      'constants.crr',
      'Rolling resistance coefficient of both tyres on this road. Default 0.005: road tyres on ordinary asphalt (common practice, no source).',
    ).default(dayDefaults.crr),
    crrStandardUncertainty: quantity(
      'constants.crrStandardUncertainty',
      'Its standard uncertainty. Default 0.001 (common practice, no source).',
    ).default(dayDefaults.crrStandardUncertainty),
    drivetrainEfficiency: quantity(
      'constants.drivetrainEfficiency',
      'Share of the measured power that reaches the road. Default 0.977 for a meter at crank or pedals (0.97698 in Martin et al. 1998, from memory); write 1 for a meter in the rear hub.',
    ).default(dayDefaults.drivetrainEfficiency),
    drivetrainEfficiencyStandardUncertainty: quantity(
      'constants.drivetrainEfficiencyStandardUncertainty',
      'Its standard uncertainty. Default 0.005 (common practice, no source).',
    ).default(dayDefaults.drivetrainEfficiencyStandardUncertainty),
    powerScaleStandardUncertainty: quantity(
      'constants.powerScaleStandardUncertainty',
      'Standard uncertainty of the scale of the power meter, as a fraction: 0.01 is 1 %. Default 0.01 (common practice, no source).',
    ).default(dayDefaults.powerScaleStandardUncertainty),
    bearingLosses: z
      .boolean()
      .describe(
        'Whether wheel bearings cost 0.091 v + 0.0087 v² W at v m/s (Martin et al. 1998, from memory). Default true.',
      )
      .default(true),
  })
  .describe('Known constants; each enters the estimate with its uncertainty.');

const weather = z
  .strictObject({
    temperatureC: quantity('weather.temperatureC', 'Air temperature, °C.'),
    pressureHPa: quantity(
      'weather.pressureHPa',
      'Air pressure on the spot, hPa (1 hPa = 1 mbar). Not the forecast value, which is reduced to sea level.',
    ),
    relativeHumidityPercent: quantity(
      'weather.relativeHumidityPercent',
      'Relative humidity, %. Default 50: from dry to saturated changes the density at 15 °C by 0.6 % (common practice, no source).',
    ).default(dayDefaults.relativeHumidityPercent),
  })
  .describe(
    'Air for the whole day. Leave it out where the recordings carry temperature, pressure and humidity.',
  );

const course = z
  .strictObject({
    kind: z
      .enum(['loop', 'out-and-back'])
      .describe(
        'Whether laps go round, or out to a turn and back on the same road. Default loop (common practice, no source).',
      )
      .default('loop'),
    lapLengthM: quantity(
      'course.lapLengthM',
      'Length of one lap, m. Default: found from the recordings.',
    ).optional(),
    gate: z
      .strictObject({
        latDeg: quantity('course.gate.latDeg', 'Latitude, degrees, north positive.'),
        lonDeg: quantity('course.gate.lonDeg', 'Longitude, degrees, east positive.'),
      })
      .describe('Where a lap begins and ends. Default: where the first lap begins.')
      .optional(),
  })
  .describe('The road.');

const setup = z
  .strictObject({
    id: setupId.describe('Short name by which runs point at this setup.'),
    name: lineOfText(200).describe('Name for tables and figures. Default: the id.').optional(),
    wheelInertiaKgM2: quantity(
      'setups.*.wheelInertiaKgM2',
      'Moment of inertia of both wheels together, kg m². Default 0.14 (Martin et al. 1998, from memory).',
    ).default(dayDefaults.wheelInertiaKgM2),
    massOffsetKg: quantity(
      'setups.*.massOffsetKg',
      'Mass added to the system while this setup is ridden, kg; negative when lighter. Default 0.',
    ).default(0),
    wheelRadiusM: quantity(
      'setups.*.wheelRadiusM',
      'Rolling radius, m. Default 0.336: a 28-622 tyre (common practice, no source).',
    ).default(dayDefaults.wheelRadiusM),
    crr: quantity(
      'setups.*.crr',
      'Rolling resistance coefficient of this setup. Default: that of the day.',
    ).optional(),
  })
  .describe('All that is fitted and worn in one run.');

const run = z
  .strictObject({
    setup: z.string().min(1).max(60).describe('Id of the setup that was ridden.'),
    file: fileName.describe(
      'Recording, beside the sheet or in a folder under it: FIT, TCX, GPX or CSV.',
    ),
    from: clock
      .describe(
        'Where in the file the run begins, counted from its first sample. Default: its start.',
      )
      .optional(),
    to: clock
      .describe('Where in the file the run ends, counted from its first sample. Default: its end.')
      .optional(),
    remark: lineOfText(1000).describe('Anything worth keeping. Default: none.').optional(),
  })
  .describe('Laps ridden in one go on one setup.');

const overrule = z
  .strictObject({
    run: z
      .int()
      .min(1)
      .max(10_000)
      .describe('Number of the run, counted from 1 in the order of the sheet.'),
    lap: z.int().min(1).max(10_000).describe('Number of the lap within its run, counted from 1.'),
    use: z
      .boolean()
      .describe('true: use this lap although the method would leave it out; false: leave it out.'),
    reason: lineOfText(1000).describe('Why. Default: none given.').optional(),
  })
  .describe("A person's word on one lap.");

const csvColumn = (units: readonly [string, ...string[]]) =>
  z
    .strictObject({
      column: lineOfText(200).describe('Header of the column as written in the file.'),
      unit: z.enum(units).describe(`Unit of the column. Default ${units[0]}.`).optional(),
    })
    .describe('A column of the file and its unit.');

const csv = z
  .strictObject({
    columns: z
      .strictObject(
        Object.fromEntries(
          csvColumnNames.map((name) => [
            name,
            csvColumn(csvUnits[name] as unknown as readonly [string, ...string[]]).optional(),
          ]),
        ),
      )
      .describe(
        'Which column of the file is which. Columns not named here are looked up by these names.',
      ),
  })
  .describe(
    'How the CSV recordings of this day name their columns. Default: by the names of this list, in SI units.',
  );

const reference = z
  .strictObject({
    speedKmh: quantity(
      'reference.speedKmh',
      'Speed at which differences are said in watts, km/h. Default 40 (common practice, no source).',
    ).default(dayDefaults.speedKmh),
    airDensityKgM3: quantity(
      'reference.airDensityKgM3',
      'Air density for the same, kg/m³. Default 1.2 (common practice, no source).',
    ).default(dayDefaults.airDensityKgM3),
  })
  .describe('Conditions in which a difference of CdA is said in watts.');

/** The whole sheet. */
export const daySheetSchema = z
  .strictObject({
    title: lineOfText(200).describe('What was tested, in one line.'),
    date: z.iso.date().describe('Day of the test, YYYY-MM-DD (ISO 8601).'),
    invented: z
      .boolean()
      .describe(
        'true: the recordings are an invented scenario, and every finding is labelled so. Default false.',
      )
      .default(false),
    system,
    constants: constants.prefault({}),
    weather: weather.optional(),
    course: course.prefault({}),
    setups: z.array(setup).min(1).max(50).describe('The setups that were ridden.'),
    control: z
      .string()
      .min(1)
      .max(60)
      .describe(
        'Id of the setup that the others are compared to. Default: the first in the list (common practice, no source).',
      )
      .optional(),
    runs: z
      .array(run)
      .min(1)
      .max(500)
      .describe('What was ridden, in the order in which it was ridden.'),
    laps: z
      .array(overrule)
      .max(1000)
      .describe('Laps to use or to leave out against the method. Default: none.')
      .default([]),
    csv: csv.optional(),
    reference: reference.prefault({}),
  })
  .describe('What was ridden when, with what, on one test day.');

/** A sheet as written: defaults left out. */
export type DaySheet = z.input<typeof daySheetSchema>;

/** A sheet with its defaults filled in. */
export type FilledDaySheet = z.output<typeof daySheetSchema>;
