import type { ClimbRider, GearsSetup } from '../core/evidence/index.ts';
import { LapbenchError } from '../core/units/index.ts';
import type { Place, Problem } from '../core/units/index.ts';
import { readDesignation } from './designation.ts';
import { explainIssue } from './explain.ts';
import { gearsQuantities } from './gears-quantities.ts';
import { gearsSheetSchema, usualRoad } from './gears-schema.ts';
import type { FilledGearsSheet } from './gears-schema.ts';
import type { SheetKind } from './kind.ts';
import { inOrder, parseSheet } from './parse.ts';
import type { ParsedSheet } from './parse.ts';

/** A gears sheet after its check. */
export interface ReadGears {
  setup: GearsSetup;
  /** Finds the line of a value by its path, `climbs.0.gradientPercent`. */
  placeOf: (field: string) => Place;
}

const gearsKind: SheetKind = {
  noun: 'gears sheet',
  schema: gearsSheetSchema,
  quantities: gearsQuantities,
  examples: {
    title: '"title: A hilly day"',
    chainrings: 'their teeth, "chainrings: [50, 34]"',
    cassette:
      'the teeth of the sprockets, "cassette: [11, 12, 13, 14, 15, 17, 19, 21, 24, 28, 34]"',
    tyre: '"tyre: {designation: 28-622}" or "tyre: {circumferenceMm: 2130}"',
    'tyre.designation':
      'width and bead seat diameter in mm as on the sidewall, "designation: 28-622" (a 700x28C is 28-622),',
    system: '"system: {massKg: 92}"',
    'system.massKg': '"massKg: 92", the weighed mass of rider, bicycle and all that is carried',
    rider: '"rider: {powerW: 250, leastCadenceRpm: 60}"',
    'rider.powerW': '"powerW: 250"',
    road: '"road: {crr: 0.006, cdaM2: 0.4}"',
    course: '"course: {file: ride.gpx, steepestM: [100, 500]}"',
    'course.file': '"file: ride.gpx", the recording beside the sheet',
    climbs: 'a list such as "- {gradientPercent: 18, lengthM: 400}"',
    'climbs.*': '"- {gradientPercent: 18, lengthM: 400}"',
    'climbs.*.gradientPercent': '"gradientPercent: 18"',
    'climbs.*.lengthM': '"lengthM: 400"',
  },
  beginning: 'Begin with "chainrings: [...]", "cassette: [...]" and "tyre: {...}".',
  tooMany: 'Give fewer.',
};

/**
 * Reads a gears sheet, YAML or JSON, and checks all of it.
 *
 * @throws LapbenchError with every problem found, in the order of the lines
 */
export function readGearsSheet(text: string, file: string): ReadGears {
  const sheet = parseSheet(text, file, 'chainrings, cassette and tyre');
  const checked = gearsSheetSchema.safeParse(sheet.data);
  const errors = [
    ...(checked.success
      ? []
      : checked.error.issues.flatMap((issue) => explainIssue(issue, sheet, file, gearsKind))),
    ...checkTogether(sheet, file),
  ];
  if (!checked.success || errors.length > 0) throw new LapbenchError(inOrder(errors, file));
  return { setup: toSetup(checked.data), placeOf: sheet.placeOf };
}

/** What no single field shows; works on sheets whose fields are partly wrong. */
function checkTogether(sheet: ParsedSheet, file: string): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string, remedy: string): void => {
    problems.push({ code: 'sheet-field', file, place: sheet.placeOf(field), message, remedy });
  };
  const data = asMap(sheet.data);
  const tyre = asMap(data.tyre);
  if ('tyre' in data && !('designation' in tyre) && !('circumferenceMm' in tyre)) {
    say(
      'tyre',
      'The tyre has neither a designation nor a circumference.',
      'Add "designation: 28-622", or "circumferenceMm: 2130" rolled out under the rider.',
    );
  }
  for (const list of ['chainrings', 'cassette']) {
    const teeth = asList(data[list]);
    const twice = teeth.find((one, i) => typeof one === 'number' && teeth.indexOf(one) < i);
    if (twice !== undefined) {
      say(
        `${list}.${teeth.lastIndexOf(twice)}`,
        `${String(twice)} teeth stand twice in "${list}".`,
        'Name each once.',
      );
    }
  }
  for (const asked of ['climbs', 'course']) {
    if (!(asked in data) || (asked === 'climbs' && asList(data.climbs).length === 0)) continue;
    for (const group of ['system', 'rider']) {
      if (group in data) continue;
      say(
        asked,
        `There ${asked === 'climbs' ? 'are climbs' : 'is a course'}, but no "${group}" to ride them.`,
        `Add ${gearsKind.examples[group]}.`,
      );
    }
  }
  return problems;
}

function toSetup(sheet: FilledGearsSheet): GearsSetup {
  const { system, rider, tyre } = sheet;
  return {
    title: sheet.title,
    invented: sheet.invented,
    chainrings: sheet.chainrings,
    cassette: sheet.cassette,
    ...circumferenceOf(tyre),
    cadenceRpm: sheet.cadenceRpm,
    rider:
      system === undefined || rider === undefined
        ? null
        : ({ ...system, ...rider, ...(sheet.road ?? usualRoad) } satisfies ClimbRider),
    climbs: sheet.climbs.map((climb) => ({
      name: climb.name ?? null,
      gradient: climb.gradientPercent / 100,
      gradientStandardUncertainty: climb.gradientStandardUncertaintyPercent / 100,
      lengthM: climb.lengthM,
    })),
    course: sheet.course ?? null,
  };
}

/**
 * Rolled out, good to 0.2 %; or π·(bead seat + twice the width), which leaves out drop, tread and how the
 * tyre differs from its name, good to 0.5 % (both standard uncertainties common practice, no source).
 */
function circumferenceOf(
  tyre: FilledGearsSheet['tyre'],
): Pick<GearsSetup, 'circumferenceUm' | 'circumferenceStandardUncertaintyM' | 'circumferenceFrom'> {
  const named = tyre.designation === undefined ? null : readDesignation(tyre.designation);
  const measured = tyre.circumferenceMm;
  const metres =
    measured === undefined
      ? Math.PI * ((named?.beadSeatM ?? 0) + 2 * (named?.widthM ?? 0))
      : measured / 1000;
  return {
    circumferenceUm: Math.round(metres * 1e6),
    circumferenceStandardUncertaintyM: metres * (measured === undefined ? 0.005 : 0.002),
    circumferenceFrom: measured === undefined ? 'designation' : 'measured',
  };
}

const asList = (value: unknown): unknown[] => (Array.isArray(value) ? value : []);
const asMap = (value: unknown): Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value)
    ? (value as Record<string, unknown>)
    : {};
