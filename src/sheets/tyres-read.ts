import type { TyreOnRim, TyresSetup } from '../core/evidence/index.ts';
import { barToPa, LapbenchError, psiToPa } from '../core/units/index.ts';
import type { Place, Problem } from '../core/units/index.ts';
import { readDesignation } from './designation.ts';
import { explainIssue } from './explain.ts';
import type { SheetKind } from './kind.ts';
import { inOrder, parseSheet } from './parse.ts';
import type { ParsedSheet } from './parse.ts';
import { tyresQuantities } from './tyres-quantities.ts';
import { tyresSheetSchema } from './tyres-schema.ts';
import type { FilledTyresSheet } from './tyres-schema.ts';

/** A tyres sheet after its check. */
export interface ReadTyres {
  setup: TyresSetup;
  /** Finds the line of a value by its path, `front.rim.innerWidthMm`. */
  placeOf: (field: string) => Place;
}

const ends = ['front', 'rear'] as const;

const endExamples = (at: string): Record<string, string> => ({
  [at]: `"${at}: {tyre: {designation: 28-622, maximumBar: 6}, rim: {innerWidthMm: 19, bead: hooked}}"`,
  [`${at}.tyre`]: '"tyre: {designation: 28-622, measuredWidthMm: 28.6, maximumBar: 6}"',
  [`${at}.tyre.designation`]:
    'width and bead seat diameter in mm as on the sidewall, "designation: 28-622" (a 700x28C is 28-622),',
  [`${at}.rim`]: '"rim: {innerWidthMm: 19, bead: hooked, maximumBar: 8}"',
  [`${at}.rim.innerWidthMm`]: '"innerWidthMm: 19"',
  [`${at}.rim.bead`]: '"bead: hooked" or "bead: hookless"',
});

const tyresKind: SheetKind = {
  noun: 'tyres sheet',
  schema: tyresSheetSchema,
  quantities: tyresQuantities,
  examples: {
    title: '"title: Sunday lanes"',
    system: '"system: {massKg: 95, frontShare: 0.42}"',
    'system.massKg': '"massKg: 95", the weighed mass of rider, bicycle and all that is carried',
    surface: '"surface: rough"',
    ...endExamples('front'),
    ...endExamples('rear'),
  },
  beginning:
    'Begin with "title: ...", "system: {...}", "surface: ...", "front: {...}", "rear: {...}".',
  tooMany: 'Give fewer.',
};

/**
 * Reads a tyres sheet, YAML or JSON, and checks all of it.
 *
 * @throws LapbenchError with every problem found, in the order of the lines
 */
export function readTyresSheet(text: string, file: string): ReadTyres {
  const sheet = parseSheet(text, file, 'a title, the system mass, the surface and both wheels');
  const checked = tyresSheetSchema.safeParse(sheet.data);
  const errors = [
    ...(checked.success
      ? []
      : checked.error.issues.flatMap((issue) => explainIssue(issue, sheet, file, tyresKind))),
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
  for (const at of ends) {
    if (!(at in data)) continue;
    const wheel = asMap(data[at]);
    const both = (group: string, map: Record<string, unknown>, name: string): void => {
      if (`${name}Bar` in map && `${name}Psi` in map)
        say(
          `${group}.${name}Psi`,
          `"${name}Bar" and "${name}Psi" say the same thing twice.`,
          'Keep one of the two.',
        );
    };
    const tyre = asMap(wheel.tyre);
    const rim = asMap(wheel.rim);
    both(`${at}.tyre`, tyre, 'maximum');
    both(`${at}.tyre`, tyre, 'minimum');
    both(`${at}.rim`, rim, 'maximum');
    both(at, wheel, 'pressure');
    if ('tyre' in wheel && !('maximumBar' in tyre) && !('maximumPsi' in tyre)) {
      say(
        `${at}.tyre`,
        `The ${at} tyre’s maximum pressure is missing; without it no pressure is recommended.`,
        'Read it on the sidewall and add "maximumBar: 6" or "maximumPsi: 87".',
      );
    }
    const maximum = inPa(tyre, 'maximum');
    const minimum = inPa(tyre, 'minimum');
    if (maximum !== null && minimum !== null && minimum > maximum) {
      say(
        `${at}.tyre`,
        `The ${at} tyre’s minimum pressure is above its maximum.`,
        'Check both, and their units.',
      );
    }
    const { innerWidthMm: inner, outerWidthMm: outer } = rim;
    if (typeof inner === 'number' && typeof outer === 'number' && inner >= outer) {
      say(
        `${at}.rim.outerWidthMm`,
        `The ${at} rim is ${outer} mm wide outside and ${inner} mm inside.`,
        'The outer width is the larger one.',
      );
    }
    const named = typeof tyre.designation === 'string' ? readDesignation(tyre.designation) : null;
    const measured = tyre.measuredWidthMm;
    // A width that no tyre has was told already.
    const { min, max } = tyresQuantities[`${at}.tyre.measuredWidthMm`];
    if (named !== null && typeof measured === 'number' && measured >= min && measured <= max) {
      const share = measured / (1000 * named.widthM);
      if (share < 0.75 || share > 1.3) {
        say(
          `${at}.tyre.measuredWidthMm`,
          `The ${at} tyre ${String(tyre.designation)} is said to measure ${measured} mm: no tyre is so far from its name.`,
          'Measure across the inflated tyre again, or correct the designation.',
        );
      }
    }
  }
  return problems;
}

function toSetup(sheet: FilledTyresSheet): TyresSetup {
  return {
    title: sheet.title,
    invented: sheet.invented,
    ...sheet.system,
    surface: sheet.surface,
    aim: sheet.aim,
    front: toWheel(sheet.front),
    rear: toWheel(sheet.rear),
  };
}

function toWheel(wheel: FilledTyresSheet['front']): TyreOnRim {
  const { tyre, rim } = wheel;
  // The schema's own pattern has let it through.
  const named = readDesignation(tyre.designation)!;
  const metres = (mm: number | undefined): number | null => (mm === undefined ? null : mm / 1000);
  return {
    designatedWidthM: named.widthM,
    beadSeatDiameterM: named.beadSeatM,
    measuredWidthM: metres(tyre.measuredWidthMm),
    tyreMaximumPa: inPa(tyre, 'maximum')!,
    tyreMinimumPa: inPa(tyre, 'minimum'),
    rimInnerWidthM: rim.innerWidthMm / 1000,
    rimOuterWidthM: metres(rim.outerWidthMm),
    rimMaximumPa: inPa(rim, 'maximum'),
    hookless: rim.bead === 'hookless',
    pressurePa: inPa(wheel, 'pressure'),
  };
}

/** From `nameBar` or `namePsi`; null where neither is a number. */
function inPa(map: object, name: string): number | null {
  const { [`${name}Bar`]: bar, [`${name}Psi`]: psi } = map as Record<string, unknown>;
  if (typeof bar === 'number') return barToPa(bar);
  return typeof psi === 'number' ? psiToPa(psi) : null;
}

const asMap = (value: unknown): Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value)
    ? (value as Record<string, unknown>)
    : {};
