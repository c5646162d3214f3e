/** A race sheet, its course and its findings in; times of the setups out. */
import { plainCourse, type Course } from '../core/courses/index.ts';
import {
  estimateRace,
  type Conditions,
  type PowerPlan,
  type RaceEvidence,
  type RaceSetupEvidence,
} from '../core/methods/index.ts';
import { LapbenchError, type Problem } from '../core/units/index.ts';
import { raceJsonSchema, readRaceSheet, type RaceSheet } from '../sheets/index.ts';
import { inFile, type NamedText } from './bench-text.ts';
import type { RaceFinding } from './contract.ts';
import { sha256, type ReadFile } from './edges.ts';
import { readDragFinding, type KnownDrag } from './race-finding.ts';
import { powerAlong } from './race-power.ts';
import { readCourse, type ReadCourse } from './read-course.ts';
import { placedInSheet } from './read-wheel.ts';

/** The JSON Schema that a race sheet is checked against. */
export const raceSheetSchema = raceJsonSchema;

type Input = { file: string; sha256: string };

/**
 * Rides the sheet's course on every setup. `readFile` gives the files that the sheet names.
 *
 * @throws LapbenchError when the sheet, the course, the finding or the ride is wrong
 */
export function reduceRace(sheet: NamedText, readFile: ReadFile): RaceFinding {
  const { race, placeOf } = readRaceSheet(sheet.text, sheet.file);
  const inputs: Input[] = [{ file: sheet.file, sha256: sha256(sheet.text) }];
  const files = new Map<string, Uint8Array>();
  const reading: ReadFile = (file) => {
    const known = files.get(file);
    if (known) return known;
    const bytes = readFile(file);
    files.set(file, bytes);
    inputs.push({ file, sha256: sha256(bytes) });
    return bytes;
  };
  try {
    return inFile(sheet.file, () => {
      const { course, source } = courseOf(race, reading);
      const known = race.finding === undefined ? null : readDragFinding(race.finding, reading);
      const { setups, cdaCovariance, warnings } = setupsOf(race, known);
      const finding = estimateRace({
        name: race.name,
        invented: race.invented,
        course,
        conditions: conditionsOf(race, course),
        system: race.system,
        rider: {
          drivetrainEfficiency: race.system.drivetrainEfficiency,
          bearingLosses: race.system.bearingLosses,
          startSpeedMps: race.rider?.startSpeedMps ?? 0,
          walkBelowMps: race.rider?.walkBelowMps ?? 1,
        },
        power: powerOf(race, course, source, reading),
        setups,
        cdaCovariance,
        reference: race.reference ?? referenceOf(setups, known),
        doubt: {
          massKg: race.system.massStandardUncertaintyKg,
          crr: race.surface.crrStandardUncertainty,
          windMps: race.wind?.standardUncertaintyMps ?? 0,
          airDensity: race.air.densityStandardUncertaintyPercent / 100,
          power: race.power.standardUncertaintyPercent / 100,
        },
        draws: race.draws,
        plan: race.plan ? { ...race.plan, mostW: race.plan.mostW ?? null } : null,
        warnings,
        inputs,
      });
      return {
        ...finding,
        warnings: finding.warnings.map((one) => placedInSheet(one, sheet.file, placeOf)),
      };
    });
  } catch (error) {
    if (!(error instanceof LapbenchError)) throw error;
    throw new LapbenchError(
      error.problems.map((problem) =>
        problem.place?.field !== undefined && !problem.place.line
          ? { ...problem, file: sheet.file, place: placeOf(problem.place.field) }
          : problem,
      ),
    );
  }
}

function courseOf(
  { course, name }: RaceSheet,
  readFile: ReadFile,
): { course: Course; source: ReadCourse | null } {
  const { stepM } = course;
  if (course.file !== undefined) {
    const source = readCourse(course.file, readFile, {
      stepM,
      ...(course.laps !== undefined ? { laps: course.laps } : {}),
      heightsFrom: course.heightsFrom ?? null,
    });
    return { course: source.course, source };
  }
  const even = course.stretches ?? [
    {
      lengthM: course.lengthM!,
      gradientPercent: course.gradientPercent ?? 0,
      headingDeg: course.headingDeg,
    },
  ];
  const stretches = even.map(({ lengthM, gradientPercent, headingDeg }) => ({
    lengthM,
    gradient: gradientPercent / 100,
    ...(headingDeg !== undefined ? { headingDeg } : {}),
  }));
  const startAltitudeM = course.startAltitudeM ?? 0;
  return { course: plainCourse(stretches, { name, stepM, startAltitudeM }), source: null };
}

function conditionsOf({ air, wind, surface, corners }: RaceSheet, course: Course): Conditions {
  const beyond = surface.sections.findIndex(({ toM }) => toM > course.lengthM + 50);
  if (beyond >= 0) {
    throw new LapbenchError({
      code: 'sheet-field',
      place: { field: `surface.sections.${beyond}.toM` },
      message: `Section ${beyond + 1} ends at ${surface.sections[beyond].toM} m, and the course is ${course.lengthM.toFixed(0)} m long.`,
      remedy: 'Give the sections in metres along this course.',
    });
  }
  return {
    air,
    airHeightM: air.altitudeM ?? null,
    wind:
      wind === undefined
        ? null
        : wind.headMps !== undefined
          ? { headMps: wind.headMps }
          : { speedMps: wind.speedMps!, fromDeg: wind.fromDeg! },
    crr: surface.crr,
    surfaces: surface.sections,
    corners: corners ?? null,
  };
}

function powerOf(
  { power, course: ofSheet }: RaceSheet,
  course: Course,
  source: ReadCourse | null,
  readFile: ReadFile,
): PowerPlan {
  if (power.kind === 'constant') return { kind: 'constant', powerW: power.powerW! };
  if (power.kind === 'gradient') {
    return {
      kind: 'gradient',
      gradientPercent: power.table!.map((one) => one.gradientPercent),
      powerW: power.table!.map((one) => one.powerW),
    };
  }
  const own = power.file === undefined || power.file === ofSheet.file;
  const laps = ofSheet.laps ?? 'all';
  const ride = own && source ? source : readCourse(power.file!, readFile, { laps, stepM: 5 });
  return { kind: 'ride', powerW: powerAlong(course, ride.recording, ride.course) };
}

function setupsOf(
  race: RaceSheet,
  known: KnownDrag | null,
): Pick<RaceEvidence, 'setups' | 'cdaCovariance' | 'warnings'> {
  const k = race.setups.length;
  const places = race.setups.map((setup, i) => {
    if (setup.cdaM2 !== undefined || setup.yaw) return -1;
    const place = known!.ids.indexOf(setup.id);
    if (place >= 0) return place;
    throw new LapbenchError({
      code: 'setup-unknown',
      place: { field: `setups.${i}.id` },
      message: `Setup ${i + 1}, "${setup.id}", has no drag area, and the finding does not know it.`,
      remedy: `The finding knows ${known!.ids.join(', ')}; or give cdaM2.`,
    });
  });
  const shared = race.sharedCdaStandardUncertaintyM2 ** 2;
  const cdaCovariance = new Float64Array(k * k);
  for (let i = 0; i < k; i++) {
    for (let j = 0; j < k; j++) {
      const [a, b] = [places[i], places[j]];
      const own = i === j ? (race.setups[i].cdaStandardUncertaintyM2 ?? 0) ** 2 : 0;
      cdaCovariance[i * k + j] =
        a >= 0 && b >= 0
          ? known!.covariance[a * known!.ids.length + b]
          : a < 0 && b < 0
            ? shared + own
            : 0;
    }
  }
  const setups = race.setups.map((setup, i): RaceSetupEvidence => {
    const yaw = setup.yaw
      ? {
          yawDeg: setup.yaw.map((one) => one.yawDeg),
          cdaM2: setup.yaw.map((one) => one.cdaM2),
          reference: setup.yawReference,
        }
      : null;
    return {
      id: setup.id,
      name: setup.name ?? setup.id,
      cdaM2: places[i] >= 0 ? known!.cdaM2[places[i]] : (setup.cdaM2 ?? yaw!.cdaM2[0]),
      yaw,
      massOffsetKg: setup.massOffsetKg,
      wheelInertiaKgM2: setup.wheelInertiaKgM2 ?? race.system.wheelInertiaKgM2,
      crrOffset: setup.crrOffset,
      crrOffsetStandardUncertainty: setup.crrOffsetStandardUncertainty,
    };
  });
  return { setups, cdaCovariance, warnings: sayDoubt(race, places, cdaCovariance) };
}

/** Where an interval would look sharper, or duller, than what is known. */
function sayDoubt(race: RaceSheet, places: number[], covariance: Float64Array): Problem[] {
  const k = places.length;
  const warnings: Problem[] = [];
  const exact = race.setups.filter((_, i) => covariance[i * (k + 1)] === 0).map(({ id }) => id);
  if (exact.length > 0) {
    warnings.push({
      code: 'race-doubt',
      place: { field: 'setups' },
      message: `The drag area of ${exact.join(', ')} is taken as exact: intervals leave its doubt out.`,
      remedy: 'Give cdaStandardUncertaintyM2, sharedCdaStandardUncertaintyM2, or a finding.',
    });
  }
  if (places.some((place) => place >= 0) && places.some((place) => place < 0)) {
    warnings.push({
      code: 'race-doubt',
      place: { field: 'setups' },
      message:
        'Some drag areas come from the finding and some from the sheet: nothing they share cancels between the two kinds.',
      remedy: 'Compare within one finding where you can.',
    });
  }
  return warnings;
}

function referenceOf(setups: RaceSetupEvidence[], known: KnownDrag | null): string {
  return setups.find(({ id }) => id === known?.control)?.id ?? setups[0].id;
}
