import type { SpokeSide, Wheel } from '../core/evidence/index.ts';
import { LapbenchError } from '../core/units/index.ts';
import type { Place, Problem } from '../core/units/index.ts';
import { explainIssue } from './explain.ts';
import type { SheetKind } from './kind.ts';
import { inOrder, parseSheet } from './parse.ts';
import type { ParsedSheet } from './parse.ts';
import { wheelQuantities } from './wheel-quantities.ts';
import { wheelSheetSchema } from './wheel-schema.ts';
import type { FilledWheelSheet } from './wheel-schema.ts';

/** What an outline and its walls come to. */
export interface SectionNumbers {
  areaM2: number;
  iRadialM4: number;
  iLateralM4: number;
  torsionM4: number;
  shearCentreOffsetM: number;
}

/** Works out a rim section; throws `LapbenchError` where the outline is none. */
export type SectionOf = (
  points: { radialM: number; lateralM: number }[],
  wallThicknessM: number | number[],
  options: { outlineAt: 'middle' | 'outside' },
) => SectionNumbers;

/** A wheel sheet after its check. */
export interface ReadWheel {
  wheel: Wheel;
  invented: boolean;
  /** Finds the line of a value by its path, `spokes.left.count`. */
  placeOf: (field: string) => Place;
}

const wheelKind: SheetKind = {
  noun: 'wheel sheet',
  schema: wheelSheetSchema,
  quantities: wheelQuantities,
  examples: {
    name: '"name: Deep front, 2:1"',
    rim: '"rim: {radiusM: 0.29, materialEPa: 60e9, …}"',
    'rim.section':
      '"section: {outlineM: [[0, 0.013], [0.06, 0], [0, -0.013]], wallThicknessM: 0.0015}"',
    'rim.section.outlineM': 'a list of points [outwards, to the left] in metres',
    'rim.section.outlineM.*': 'a point as two numbers, [outwards, to the left], in metres',
    hub: '"hub: {flangeRadiusM: {left: 0.022, right: 0.022}, flangeOffsetM: {left: 0.03, right: 0.03}}"',
    'hub.flangeRadiusM': '"flangeRadiusM: {left: 0.022, right: 0.022}"',
    'hub.flangeOffsetM': '"flangeOffsetM: {left: 0.03, right: 0.03}"',
    spokes: '"spokes: {left: {count: 16, cross: 2, …}, right: {…}}"',
    'spokes.left':
      '"left: {count: 16, cross: 2, materialEPa: 200e9, areaM2: 3.1e-6, densityKgM3: 7900}"',
    'spokes.right':
      '"right: {count: 16, cross: 2, materialEPa: 200e9, areaM2: 3.1e-6, densityKgM3: 7900}"',
  },
  beginning: 'Begin with "name: ...", "rim: {...}", "hub: {...}" and "spokes: {...}".',
  tooMany: 'Give fewer points.',
};

/**
 * Reads a wheel sheet, YAML or JSON, and checks all of it.
 *
 * @param sectionOf Works out the section where the sheet gives an outline.
 * @throws LapbenchError with every problem found, in the order of the lines
 */
export function readWheelSheet(text: string, file: string, sectionOf: SectionOf): ReadWheel {
  const sheet = parseSheet(text, file, 'a name, the rim, the hub and the spokes of both sides');
  const checked = wheelSheetSchema.safeParse(sheet.data);
  const errors = [
    ...(checked.success
      ? []
      : checked.error.issues.flatMap((issue) => explainIssue(issue, sheet, file, wheelKind))),
    ...checkTogether(sheet, file),
  ];
  if (!checked.success || errors.length > 0) throw new LapbenchError(inOrder(errors, file));
  const { data } = checked;
  return {
    wheel: toWheel(data, sheet, file, sectionOf),
    invented: data.invented,
    placeOf: sheet.placeOf,
  };
}

const sectionKeys = ['areaM2', 'iRadialM4', 'iLateralM4', 'torsionM4'];

/** What no single field shows; works on sheets whose fields are partly wrong. */
function checkTogether(sheet: ParsedSheet, file: string): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string, remedy: string): void => {
    problems.push({ code: 'sheet-field', file, place: sheet.placeOf(field), message, remedy });
  };
  const data = asMap(sheet.data);
  const rim = asMap(data.rim);
  if ('rim' in data) {
    const given = sectionKeys.filter((key) => key in rim);
    const missing = sectionKeys.filter((key) => !(key in rim));
    if ('section' in rim && given.length > 0) {
      say(
        'rim.section',
        `The rim has both a section and ${given.join(', ')}.`,
        'Keep one of the two: the outline, or the four numbers.',
      );
    } else if (!('section' in rim) && missing.length > 0) {
      say(
        'rim',
        `The rim lacks ${missing.join(', ')}.`,
        'Add what is missing, or give "section" with an outline and a wall thickness.',
      );
    }
  }
  const section = asMap(rim.section);
  if ('section' in rim) {
    const one = 'wallThicknessM' in section;
    const many = 'wallThicknessesM' in section;
    if (one === many) {
      say(
        'rim.section',
        one ? 'The section has two kinds of wall thickness.' : 'The section has no wall thickness.',
        'Give wallThicknessM for all walls, or wallThicknessesM with one a wall.',
      );
    }
  }
  const spokes = asMap(data.spokes);
  for (const side of ['left', 'right']) {
    const own = asMap(spokes[side]);
    if (!(side in spokes)) continue;
    const field = `spokes.${side}`;
    const flat = 'widthM' in own || 'thicknessM' in own;
    if (flat && !('widthM' in own && 'thicknessM' in own)) {
      say(
        field,
        'A bladed spoke needs its width and its thickness.',
        'Give widthM and thicknessM.',
      );
    }
    if (flat && 'diameterM' in own)
      say(
        field,
        'A spoke is round or bladed, not both.',
        'Give diameterM, or widthM and thicknessM.',
      );
    if (!flat && !('areaM2' in own) && !('diameterM' in own)) {
      say(
        field,
        `The spokes on the ${side} have no cross-section.`,
        'Give areaM2 (2.0 mm round: 3.14e-6), diameterM, or widthM and thicknessM.',
      );
    }
  }
  return problems;
}

function toWheel(
  sheet: FilledWheelSheet,
  parsed: ParsedSheet,
  file: string,
  sectionOf: SectionOf,
): Wheel {
  const { rim } = sheet;
  const numbers = rim.section ? worked(rim.section, parsed, file, sectionOf) : rim;
  return {
    name: sheet.name,
    rim: {
      radiusM: rim.radiusM,
      materialEPa: rim.materialEPa,
      materialGPa: rim.materialGPa,
      areaM2: numbers.areaM2!,
      iRadialM4: numbers.iRadialM4!,
      iLateralM4: numbers.iLateralM4!,
      torsionM4: numbers.torsionM4!,
      nippleOffsetM: rim.nippleOffsetM,
      massKg: rim.massKg,
      shearCentreOffsetM: rim.shearCentreOffsetM ?? numbers.shearCentreOffsetM ?? 0,
    },
    hub: { ...sheet.hub, bearingStiffness: sheet.hub.bearingStiffness ?? null },
    spokes: { left: spokeSide(sheet.spokes.left), right: spokeSide(sheet.spokes.right) },
    discSide: sheet.discSide ?? null,
  };
}

function worked(
  section: NonNullable<FilledWheelSheet['rim']['section']>,
  sheet: ParsedSheet,
  file: string,
  sectionOf: SectionOf,
): SectionNumbers {
  try {
    return sectionOf(
      section.outlineM.map(([radialM, lateralM]) => ({ radialM, lateralM })),
      section.wallThicknessM ?? section.wallThicknessesM ?? 0,
      { outlineAt: section.outlineAt },
    );
  } catch (error) {
    if (!(error instanceof LapbenchError)) throw error;
    const place = sheet.placeOf('rim.section');
    throw new LapbenchError(error.problems.map((problem) => ({ ...problem, file, place })));
  }
}

function spokeSide(side: FilledWheelSheet['spokes']['left']): SpokeSide {
  const { count, cross, hubTurnDeg, materialEPa, densityKgM3 } = side;
  const { diameterM, widthM, thicknessM } = side;
  const ofShape =
    diameterM !== undefined
      ? (Math.PI / 4) * diameterM ** 2
      : widthM !== undefined && thicknessM !== undefined
        ? widthM * thicknessM
        : 0;
  return {
    count,
    cross,
    ...(hubTurnDeg !== undefined ? { hubTurnRad: (hubTurnDeg * Math.PI) / 180 } : {}),
    materialEPa,
    areaM2: side.areaM2 ?? ofShape,
    densityKgM3,
    meanTensionN: side.meanTensionN ?? null,
    ...(widthM !== undefined && thicknessM !== undefined ? { widthM, thicknessM } : {}),
  };
}

const asMap = (value: unknown): Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value)
    ? (value as Record<string, unknown>)
    : {};
