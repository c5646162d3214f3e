/** The main job: a day sheet and its recordings in, a finding out. */
import type { Day, Recording } from '../core/evidence/index.ts';
import { LapbenchError, type Problem } from '../core/units/index.ts';
import { estimateFieldDrag } from '../core/methods/index.ts';
import { readRecording } from '../recordings/index.ts';
import { readDaySheet } from '../sheets/index.ts';
import type { FieldDragFinding } from './contract.ts';
import { sha256, type ReadFile } from './edges.ts';
import { asInSheet, onlyRuns, problemAsInSheet } from './partial-day.ts';

/** A recording as read, with the hash of its bytes. */
export interface ReadResult {
  recording: Recording;
  sha256: string;
}

/** Reads a recording by the name that the sheet uses; throws `LapbenchError`. */
export type ReadRecording = (file: string, day: Day) => ReadResult;

/**
 * Reduces one day: checks the sheet, reads each recording once, estimates.
 *
 * A recording that cannot be read does not stop the rest: its runs are left out, with the reason
 * among the warnings of the finding. Runs are numbered as in the sheet throughout.
 *
 * @param sheetText the sheet, YAML or JSON
 * @param sheetFile its name, for messages
 * @throws LapbenchError when the sheet is wrong, nothing can be read, or the method refuses
 */
export function reduceDaySheet(
  sheetText: string,
  sheetFile: string,
  readFile: ReadFile,
): FieldDragFinding {
  return reduceSheetWith(sheetText, sheetFile, (file, day) => {
    const bytes = readFile(file);
    return {
      recording: readRecording(bytes, file, { columnMap: day.csvColumns }),
      sha256: sha256(bytes),
    };
  });
}

/** As `reduceDaySheet`, with the reading handed in (the worker keeps recordings it has read). */
export function reduceSheetWith(
  sheetText: string,
  sheetFile: string,
  read: ReadRecording,
): FieldDragFinding {
  const { day, warnings } = readDaySheet(sheetText, sheetFile);
  const { readings, refusals } = readAll(day, read);
  const kept = day.runs.flatMap((run, position) => (readings.has(run.file) ? [position] : []));
  if (kept.length === 0) throw new LapbenchError([...refusals.values()].flat());

  const leftOut = day.runs.flatMap((run, position) =>
    readings.has(run.file) ? [] : [runLeftOut(run.file, position + 1)],
  );
  const used = onlyRuns(day, kept);
  const refused = [...refusals.values()].flat();
  try {
    // Our own warnings count runs as the sheet does, so they do not go through the method.
    const finding = estimateFieldDrag({
      day: used,
      recordings: used.runs.map((run) => readings.get(run.file)!.recording),
      inputs: [...readings].map(([file, reading]) => ({ file, sha256: reading.sha256 })),
      warnings: [],
    });
    return withWarnings(
      withSheetNamed(asInSheet(finding, kept), sheetFile),
      [...refused, ...leftOut, ...warnings],
      readings,
    );
  } catch (error) {
    if (!(error instanceof LapbenchError)) throw error;
    const problems = error.problems.map((problem) =>
      inNamedFile(problemAsInSheet(problem, kept), sheetFile),
    );
    throw new LapbenchError([...refused, ...problems]);
  }
}

function withSheetNamed(finding: FieldDragFinding, sheetFile: string): FieldDragFinding {
  const warnings = finding.warnings.map((warning) => inNamedFile(warning, sheetFile));
  return { ...finding, warnings };
}

/** The method knows lines of the sheet, but not what the sheet is called. */
function inNamedFile(problem: Problem, sheetFile: string): Problem {
  const inSheet = problem.file === undefined && problem.place?.line !== undefined;
  return inSheet ? { ...problem, file: sheetFile } : problem;
}

function readAll(day: Day, read: ReadRecording) {
  const readings = new Map<string, ReadResult>();
  const refusals = new Map<string, Problem[]>();
  for (const { file } of day.runs) {
    if (readings.has(file) || refusals.has(file)) continue;
    try {
      readings.set(file, read(file, day));
    } catch (error) {
      if (!(error instanceof LapbenchError)) throw error;
      refusals.set(
        file,
        error.problems.map((problem) => ({ file, ...problem })),
      );
    }
  }
  return { readings, refusals };
}

function runLeftOut(file: string, run: number): Problem {
  return {
    code: 'span-left-out',
    file,
    place: { run },
    message: `Run ${run} is left out, because its recording could not be read.`,
    remedy: 'Mend or replace the file, or take the run out of the sheet.',
  };
}

/** The finding carries every warning once, whether or not the method passed it on. */
function withWarnings(
  finding: FieldDragFinding,
  before: Problem[],
  readings: Map<string, ReadResult>,
): FieldDragFinding {
  const warnings: Problem[] = [];
  const seen = new Set<string>();
  const ofReaders = [...readings].flatMap(([file, { recording }]) =>
    recording.warnings.map((warning) => ({ file, ...warning })),
  );
  for (const warning of [...before, ...ofReaders, ...finding.warnings]) {
    const key = JSON.stringify([warning.code, warning.file, warning.place, warning.message]);
    if (!seen.has(key)) warnings.push(warning);
    seen.add(key);
  }
  return { ...finding, warnings };
}
