import { LapbenchError } from '../core/units/index.ts';
import type { Place, Problem } from '../core/units/index.ts';
import { explainIssue } from './explain.ts';
import type { SheetKind } from './kind.ts';
import { inOrder, parseSheet } from './parse.ts';
import type { ParsedSheet } from './parse.ts';
import { raceQuantities } from './race-quantities.ts';
import { raceSheetSchema } from './race-schema.ts';
import type { RaceSheet } from './race-schema.ts';

/** A race sheet after its check. */
export interface ReadRace {
  race: RaceSheet;
  /** Finds the line of a value by its path, `setups.0.cdaM2`. */
  placeOf: (field: string) => Place;
}

const raceKind: SheetKind = {
  noun: 'race sheet',
  schema: raceSheetSchema,
  quantities: raceQuantities,
  examples: {
    name: '"name: Hill time trial"',
    course: '"course: {file: course.gpx}" or "course: {lengthM: 40000}"',
    system: '"system: {massKg: 82}"',
    air: '"air: {temperatureC: 15, pressureHPa: 1005}"',
    power: '"power: {kind: constant, powerW: 250}"',
    'power.kind': '"kind: constant"',
    surface: '"surface: {crr: 0.004}"',
    setups: 'a list with one setup a line: "- {id: shallow, cdaM2: 0.32}"',
    'setups.*': '"- {id: shallow, cdaM2: 0.32}"',
    'setups.*.id': '"id: shallow"',
  },
  beginning:
    'Begin with "name: ...", "course: ...", "system: ...", "air: ...", "power: ..." and so on.',
  tooMany: 'Split the race into several sheets.',
};

type Say = (field: string, message: string, remedy: string) => void;

/**
 * Reads a race sheet, YAML or JSON, and checks all of it.
 *
 * @throws LapbenchError with every problem found, in the order of the lines
 */
export function readRaceSheet(text: string, file: string): ReadRace {
  const sheet = parseSheet(
    text,
    file,
    'a name, a course, the system mass, the air, the power, the surface and the setups',
  );
  const checked = raceSheetSchema.safeParse(sheet.data);
  const errors = checked.success
    ? checkTogether(checked.data, sheet, file)
    : checked.error.issues.flatMap((issue) => explainIssue(issue, sheet, file, raceKind));
  if (!checked.success || errors.length > 0) throw new LapbenchError(inOrder(errors, file));
  return { race: checked.data, placeOf: sheet.placeOf };
}

/** What no single field shows. */
function checkTogether(race: RaceSheet, sheet: ParsedSheet, file: string): Problem[] {
  const problems: Problem[] = [];
  const say: Say = (field, message, remedy) => {
    problems.push({ code: 'sheet-field', file, place: sheet.placeOf(field), message, remedy });
  };
  checkCourse(race, say);
  checkWindAndPower(race, say);
  race.surface.sections.forEach(({ fromM, toM }, i) => {
    if (!(toM > fromM)) {
      say(
        `surface.sections.${i}`,
        `Section ${i + 1} ends at ${toM} m, before or where it begins (${fromM} m).`,
        'Give fromM and toM in the order of riding.',
      );
    }
  });
  checkSetups(race, say);
  const { plan } = race;
  if (plan?.mostW !== undefined && !(plan.mostW > plan.leastW)) {
    say(
      'plan.mostW',
      `mostW is ${plan.mostW} W and leastW ${plan.leastW} W.`,
      'Give a wider range.',
    );
  }
  return problems;
}

function checkCourse({ course }: RaceSheet, say: Say): void {
  const kinds = (['file', 'lengthM', 'stretches'] as const).filter(
    (key) => course[key] !== undefined,
  );
  if (kinds.length !== 1) {
    say(
      'course',
      kinds.length === 0
        ? 'The course has neither file nor lengthM nor stretches.'
        : `The course has ${kinds.join(' and ')}.`,
      'Give one of them: "file: course.gpx", "lengthM: 40000", or "stretches: [...]".',
    );
    return;
  }
  const foreign =
    kinds[0] === 'file'
      ? (['gradientPercent', 'headingDeg', 'startAltitudeM'] as const)
      : (['laps', 'heightsFrom'] as const);
  for (const key of foreign) {
    if (course[key] !== undefined) {
      say(`course.${key}`, `${key} does not go with ${kinds[0]}.`, 'Take it away.');
    }
  }
}

function checkWindAndPower({ wind, power, course }: RaceSheet, say: Say): void {
  if (wind) {
    const vector = wind.speedMps !== undefined || wind.fromDeg !== undefined;
    const whole = wind.speedMps !== undefined && wind.fromDeg !== undefined;
    if ((vector && !whole) || vector === (wind.headMps !== undefined)) {
      say(
        'wind',
        'The wind needs speedMps and fromDeg, or headMps alone.',
        'Write "wind: {speedMps: 3, fromDeg: 250}", "wind: {headMps: 1}", or leave it out for still air.',
      );
    }
  }
  const wanted = { constant: 'powerW', gradient: 'table', ride: 'file' } as const;
  for (const [kind, key] of Object.entries(wanted)) {
    const given = power[key] !== undefined;
    const own = kind === power.kind;
    if (given && !own) {
      say(
        `power.${key}`,
        `${key} does not go with the kind ${power.kind}.`,
        `Take it away, or write kind: ${kind}.`,
      );
    }
    if (!given && own && !(kind === 'ride' && course.file !== undefined)) {
      say(
        'power',
        `The kind ${kind} needs ${key}.`,
        `Add it, as in ${kind === 'constant' ? '"powerW: 250"' : kind === 'gradient' ? '"table: [{gradientPercent: -4, powerW: 100}, {gradientPercent: 4, powerW: 280}]"' : '"file: ride.fit"'}.`,
      );
    }
  }
  power.table?.forEach(({ gradientPercent }, i, table) => {
    if (i > 0 && !(gradientPercent > table[i - 1].gradientPercent)) {
      say(
        `power.table.${i}`,
        'The slopes of the table do not rise from entry to entry.',
        'Put them in order.',
      );
    }
  });
}

function checkSetups({ setups, finding, reference }: RaceSheet, say: Say): void {
  const seen = new Set<string>();
  setups.forEach((setup, i) => {
    const field = `setups.${i}`;
    if (seen.has(setup.id)) {
      say(
        `${field}.id`,
        `The id "${setup.id}" is used twice.`,
        'Give each setup an id of its own.',
      );
    }
    seen.add(setup.id);
    if (setup.yaw && setup.cdaM2 !== undefined) {
      say(field, `Setup ${i + 1} has both cdaM2 and yaw.`, 'Keep one of the two.');
    }
    if (!setup.yaw && setup.cdaM2 === undefined && finding === undefined) {
      say(
        field,
        `Setup ${i + 1} has no drag area.`,
        'Add cdaM2, a table "yaw", or "finding: day.json" for all.',
      );
    }
    setup.yaw?.forEach(({ yawDeg }, j, table) => {
      if (j > 0 && !(yawDeg > table[j - 1].yawDeg)) {
        say(
          `${field}.yaw.${j}`,
          'The yaws of the table do not rise from entry to entry.',
          'Put them in order.',
        );
      }
    });
  });
  if (reference !== undefined && !seen.has(reference)) {
    say('reference', `There is no setup "${reference}".`, `Write one of: ${[...seen].join(', ')}.`);
  }
}
