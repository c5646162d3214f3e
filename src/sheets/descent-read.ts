import type {
  Descent,
  DescentBrake,
  DescentPlan,
  MeasuredCoolDown,
} from '../core/evidence/index.ts';
import { kmhToMps, LapbenchError } from '../core/units/index.ts';
import type { Place, Problem } from '../core/units/index.ts';
import { descentQuantities } from './descent-quantities.ts';
import { descentSheetSchema, type FilledDescentSheet } from './descent-schema.ts';
import { explainIssue } from './explain.ts';
import type { SheetKind } from './kind.ts';
import { inOrder, parseSheet, type ParsedSheet } from './parse.ts';

/** A descent sheet after its check. */
export interface ReadDescent {
  descent: Descent;
  /** Finds the line of a value by its path, `brakes.front.rotorMm`. */
  placeOf: (field: string) => Place;
}

const brakeExample = '{rotorMm: 160, build: steel, pads: metal}';

const descentKind: SheetKind = {
  noun: 'descent sheet',
  schema: descentSheetSchema,
  quantities: descentQuantities,
  examples: {
    title: '"title: Down to the ford"',
    course: '"course: {lengthM: 1500, gradientPercent: 12}" or "course: {file: descent.gpx}"',
    system: '"system: {massKg: 92}"',
    'system.massKg': '"massKg: 92", the weighed mass of rider, bicycle and all that is carried',
    speed: '"speed: {kind: drag, kmh: 25}"',
    'speed.kind': '"kind: drag", "kind: pulse" or "kind: ride"',
    brakes: `"brakes: {frontShare: 0.6, front: ${brakeExample}, rear: ${brakeExample}}"`,
    'brakes.frontShare': '"frontShare: 0.6"',
    'brakes.front': `"front: ${brakeExample}"`,
    'brakes.rear': `"rear: ${brakeExample}"`,
    'brakes.front.rotorMm': '"rotorMm: 160"',
    'brakes.rear.rotorMm': '"rotorMm: 160"',
    air: '"air: {temperatureC: 15, pressureHPa: 1000}"',
    drag: '"drag: {cdaM2: 0.35, crr: 0.006}"',
    again: '"again: {minutes: 20, kmh: 10}"',
    wheel: '"wheel: {radiusM: 0.34}"',
    cooldown: '"cooldown: {brake: front, kmh: 25, readings: [{timeS: 0, temperatureC: 240}, …]}"',
    'cooldown.readings':
      'at least three readings, such as "[{timeS: 0, temperatureC: 240}, {timeS: 30, temperatureC: 180}, {timeS: 60, temperatureC: 140}]"',
    'cooldown.readings.*': '"{timeS: 30, temperatureC: 180}"',
  },
  beginning:
    'Begin with "course: {...}", "system: {...}", "speed: {...}", "brakes: {...}", "air: {...}" and "drag: {...}".',
  tooMany: 'Give fewer readings: one every few seconds will do.',
};

/**
 * Reads a descent sheet, YAML or JSON, and checks all of it.
 *
 * @throws LapbenchError with every problem found, in the order of the lines
 */
export function readDescentSheet(text: string, file: string): ReadDescent {
  const sheet = parseSheet(text, file, 'course, system, speed, brakes, air and drag');
  const checked = descentSheetSchema.safeParse(sheet.data);
  const errors = [
    ...(checked.success
      ? []
      : checked.error.issues.flatMap((issue) => explainIssue(issue, sheet, file, descentKind))),
    ...checkTogether(sheet, file),
  ];
  // A size within the bounds that no rotor has: the explanation of numbers cannot know.
  const told = errors.map((problem) => unknownRotor(problem, sheet));
  if (!checked.success || told.length > 0) throw new LapbenchError(inOrder(told, file));
  return { descent: toDescent(checked.data), placeOf: sheet.placeOf };
}

function unknownRotor(problem: Problem, { data, placeOf }: ParsedSheet): Problem {
  const brakes = asMap(asMap(data).brakes);
  for (const at of ['front', 'rear']) {
    const size = asMap(brakes[at]).rotorMm;
    const place = placeOf(`brakes.${at}.rotorMm`);
    if (typeof size !== 'number' || problem.code !== 'sheet-field') continue;
    if (problem.place?.line !== place.line || problem.place?.column !== place.column) continue;
    return {
      ...problem,
      message: `"rotorMm" is ${size}: there is no rotor of ${size} mm that this program knows.`,
      remedy:
        'Write 140, 160, 180, 200 or 203; for another rotor the nearest of them, with its trackWidthMm, trackMassG and carrierMassG.',
    };
  }
  return problem;
}

/** What no single field shows; works on sheets whose fields are partly wrong. */
function checkTogether(sheet: ParsedSheet, file: string): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string, remedy: string): void => {
    problems.push({ code: 'sheet-field', file, place: sheet.placeOf(field), message, remedy });
  };
  const data = asMap(sheet.data);
  const speed = asMap(data.speed);
  const course = asMap(data.course);
  const needed: Record<string, string[]> = {
    drag: ['kmh'],
    pulse: ['kmh', 'onSeconds', 'offSeconds'],
    ride: ['file'],
  };
  const kind = String(speed.kind);
  if (Object.hasOwn(needed, kind)) {
    for (const key of needed[kind]) {
      if (!(key in speed))
        say('speed', `A speed of the kind ${kind} needs ${key}.`, `Add "${key}: …".`);
    }
    for (const key of ['kmh', 'onSeconds', 'offSeconds', 'file']) {
      if (key in speed && !needed[kind].includes(key))
        say(
          `speed.${key}`,
          `"${key}" has no meaning for a speed of the kind ${kind}.`,
          'Take it away, or choose another kind.',
        );
    }
  }
  if (!('course' in data)) {
    if ('speed' in data && kind !== 'ride')
      say('', '"course" is missing.', `Add ${descentKind.examples.course}.`);
  } else if (kind === 'ride') {
    say(
      'course',
      'A ride as recorded has its own course.',
      'Take "course" away, or give another kind of speed.',
    );
  } else if (data.course !== null && typeof data.course === 'object') {
    const slope = ['lengthM', 'gradientPercent'].filter((key) => key in course);
    if ('file' in course && slope.length > 0)
      say('course', `The course has both a file and ${slope.join(', ')}.`, 'Keep one of the two.');
    else if (!('file' in course) && slope.length < 2)
      say(
        'course',
        'The course needs lengthM and gradientPercent, or a file.',
        `Write ${descentKind.examples.course}.`,
      );
  }
  coolsDown(asMap(data.cooldown), Number(asMap(data.air).temperatureC), say);
  return problems;
}

function coolsDown(
  cooldown: Record<string, unknown>,
  descentAirC: number,
  say: (field: string, message: string, remedy: string) => void,
): void {
  if (!Array.isArray(cooldown.readings)) return;
  const readings = cooldown.readings.map(asMap);
  const time = (i: number): number => Number(readings[i]?.timeS);
  const first = Number(readings[0]?.temperatureC);
  const last = Number(readings.at(-1)?.temperatureC);
  if (time(0) !== 0 && readings.length > 0)
    say(
      'cooldown.readings.0.timeS',
      `The first reading is at ${time(0)} s.`,
      'Count the seconds from it: timeS 0.',
    );
  for (let i = 1; i < readings.length; i++) {
    if (time(i) <= time(i - 1))
      say(
        `cooldown.readings.${i}.timeS`,
        `The reading at ${time(i)} s comes after one at ${time(i - 1)} s.`,
        'Put the readings in the order of their times, each time once.',
      );
  }
  const airC = Number(cooldown.airTemperatureC ?? descentAirC);
  const coldest = Math.min(...readings.map((one) => Number(one.temperatureC)));
  if (coldest < airC - 3)
    say(
      'cooldown.readings',
      `A reading of ${coldest} °C lies below the air’s ${airC} °C: no brake cools that far.`,
      'Check the readings and their unit; give airTemperatureC if the air was colder then.',
    );
  if (last >= first)
    say(
      'cooldown.readings',
      `The brake is at ${last} °C at the end and at ${first} °C at the start: that is no cool-down.`,
      'Give readings taken while it cooled, brake off.',
    );
}

function toDescent(sheet: FilledDescentSheet): Descent {
  const { course, brakes, cooldown, again } = sheet;
  return {
    title: sheet.title ?? null,
    invented: sheet.invented,
    course: !course
      ? null
      : course.file !== undefined
        ? { kind: 'file', file: course.file }
        : {
            kind: 'slope',
            lengthM: course.lengthM ?? 0,
            gradient: (course.gradientPercent ?? 0) / 100,
          },
    massKg: sheet.system.massKg,
    plan: planOf(sheet.speed),
    frontShare: brakes.frontShare,
    front: brakeOf(brakes.front),
    rear: brakeOf(brakes.rear),
    fluid: brakes.fluid,
    air: sheet.air,
    cdaM2: sheet.drag.cdaM2,
    crr: sheet.drag.crr,
    wheelRadiusM: sheet.wheel?.radiusM ?? 0.34,
    coolDown: cooldown ? coolDownOf(cooldown, sheet.air.temperatureC) : null,
    between: { minutes: again?.minutes ?? null, speedMps: kmhToMps(again?.kmh ?? 10) },
  };
}

function planOf({
  kind,
  kmh = 0,
  onSeconds,
  offSeconds,
  file,
}: FilledDescentSheet['speed']): DescentPlan {
  if (kind === 'ride') return { kind, file: file ?? '' };
  const speedMps = kmhToMps(kmh);
  return kind === 'drag'
    ? { kind, speedMps }
    : { kind, speedMps, onS: onSeconds ?? 0, offS: offSeconds ?? 0 };
}

function brakeOf(brake: FilledDescentSheet['brakes']['front']): DescentBrake {
  const thousandth = (value: number | undefined): number | null =>
    value === undefined ? null : value / 1000;
  return {
    rotorMm: brake.rotorMm,
    build: brake.build,
    pads: brake.pads,
    trackWidthM: thousandth(brake.trackWidthMm),
    trackThicknessM: thousandth(brake.trackThicknessMm),
    trackMassKg: thousandth(brake.trackMassG),
    carrierMassKg: thousandth(brake.carrierMassG),
    padDepthM: thousandth(brake.padDepthMm),
  };
}

function coolDownOf(
  measured: NonNullable<FilledDescentSheet['cooldown']>,
  airC: number,
): MeasuredCoolDown {
  return {
    brake: measured.brake,
    speedMps: kmhToMps(measured.kmh),
    airTemperatureC: measured.airTemperatureC ?? airC,
    uncertaintyK: measured.uncertaintyK,
    timeS: measured.readings.map((one) => one.timeS),
    temperatureC: measured.readings.map((one) => one.temperatureC),
  };
}

const asMap = (value: unknown): Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value)
    ? (value as Record<string, unknown>)
    : {};
