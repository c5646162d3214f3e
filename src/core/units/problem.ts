/**
 * Errors and warnings as data: the command, the server and the page print the same object.
 */

/** Everything that can go wrong with what a person gives us, by code. */
export type ProblemCode =
  // files and readers
  | 'file-missing'
  | 'file-empty'
  | 'file-too-large'
  | 'format-unknown'
  | 'format-damaged'
  | 'format-truncated'
  | 'checksum-wrong'
  | 'column-missing'
  | 'value-invalid'
  | 'time-backwards'
  | 'clock-reset'
  | 'recording-gap'
  | 'recording-pause'
  | 'laps-overlap'
  | 'channel-missing'
  | 'channel-partial'
  | 'recording-too-short'
  // sounds
  | 'sound-encoding'
  | 'sound-limits'
  | 'sound-track-missing'
  | 'sound-part-lost'
  // sheets
  | 'sheet-syntax'
  | 'sheet-field'
  | 'sheet-unit'
  | 'setup-unknown'
  | 'setup-not-ridden'
  | 'setup-duplicate'
  | 'run-window'
  | 'run-overlap'
  // the estimate
  | 'laps-not-found'
  | 'laps-too-few'
  | 'one-setup-only'
  | 'wind-unknown'
  | 'airspeed-unusable'
  | 'heading-missing'
  | 'not-replicated'
  | 'residuals-not-white'
  | 'lap-left-out'
  | 'span-left-out'
  | 'overrule-unknown'
  // the bench
  | 'readings-too-few'
  | 'remounts-too-few'
  | 'one-direction-only'
  | 'reading-unit'
  | 'columns-swapped'
  | 'dial-reset'
  | 'load-without-deflection'
  | 'load-both-ways'
  | 'range-not-reached'
  | 'readings-not-straight'
  | 'slop-unseen'
  | 'zero-shift'
  | 'spoke-missing'
  | 'readings-contradict'
  | 'side-contradiction'
  | 'wheel-mismatch'
  | 'reading-outside'
  | 'calibration-unusable'
  | 'pitch-octave'
  | 'end-condition'
  | 'ratio-off'
  | 'tension-above-maximum'
  // the library
  | 'library-damaged'
  | 'library-newer'
  | 'library-busy'
  | 'library-unwritable'
  | 'day-unknown'
  | 'recording-changed'
  | 'recording-unknown'
  | 'day-removed'
  | 'day-changed'
  | 'name-taken'
  | 'bench-item-unknown'
  | 'bench-item-removed'
  | 'bench-item-changed'
  | 'bench-item-altered'
  | 'sound-unknown'
  | 'sound-removed'
  | 'sound-changed'
  | 'sound-altered'
  | 'upload-unknown'
  | 'upload-offset'
  // the wheel
  | 'wheel-geometry'
  | 'wheel-unbalanced'
  | 'wheel-fit'
  | 'wheel-cannot-stand'
  // brake noise
  | 'sound-silent'
  | 'sound-clipped'
  | 'sound-short'
  | 'tones-none'
  | 'plucks-unusable'
  | 'spokes-slack'
  | 'sound-not-aligned'
  | 'analysis-stopped'
  // tyres and gears
  | 'pressure-above-limit'
  | 'pressure-withheld'
  | 'pressure-low'
  | 'limit-unknown'
  | 'tyre-rim-fit'
  | 'gear-too-hard'
  // courses
  | 'course-altitude'
  | 'course-steep'
  | 'course-mended'
  | 'course-repeated'
  // the race
  | 'race-walk'
  | 'race-corners'
  | 'race-energy'
  | 'race-doubt'
  // use
  | 'usage'
  | 'internal';

/** Where in a file the trouble is; every part optional, all counted from 1 but `sample` (from 0). */
export interface Place {
  line?: number;
  column?: number;
  /** Dotted path into a sheet, list places from 0 as in edits, e.g. `runs.2.setup`: the third run. */
  field?: string;
  run?: number;
  lap?: number;
  sample?: number;
  byte?: number;
  timeS?: number;
}

/** One thing that is wrong, or worth knowing, said so that a person can act on it. */
export interface Problem {
  code: ProblemCode;
  file?: string;
  place?: Place;
  /** What is wrong, one sentence with the offending value in it. */
  message: string;
  /** What to do about it, one sentence. */
  remedy?: string;
}

/** Thrown where the work cannot go on. Carries all problems found, the first one as its message. */
export class LapbenchError extends Error {
  readonly problems: readonly Problem[];

  constructor(problem: Problem | readonly Problem[]) {
    const problems = Array.isArray(problem) ? (problem as Problem[]) : [problem as Problem];
    super(problems.map(describeProblem).join('\n'));
    this.name = 'LapbenchError';
    this.problems = problems;
  }
}

/** `run-1.fit, line 3: message Remedy.` on one line. */
export function describeProblem(problem: Problem): string {
  const { file, place = {}, message, remedy } = problem;
  const where = [
    file,
    place.line !== undefined && `line ${place.line}`,
    place.column !== undefined && `column ${place.column}`,
    // A line says it better; the path is for forms.
    place.line === undefined && place.field,
    place.run !== undefined && `run ${place.run}`,
    place.lap !== undefined && `lap ${place.lap}`,
    place.byte !== undefined && `byte ${place.byte}`,
    place.sample !== undefined && `sample ${place.sample}`,
    place.timeS !== undefined && `at ${place.timeS.toFixed(0)} s`,
  ].filter((part) => typeof part === 'string' && part.length > 0);
  const start = where.length > 0 ? `${where.join(', ')}: ` : '';
  return `${start}${message}${remedy ? ` ${remedy}` : ''}`;
}
