/** A course out of a recording's bytes. */
import { courseFrom, type Course, type CourseOptions } from '../core/courses/index.ts';
import type { Recording } from '../core/evidence/index.ts';
import { LapbenchError } from '../core/units/index.ts';
import { readRecording } from '../recordings/index.ts';
import { sha256, type ReadFile } from './edges.ts';

/** A course with the file it came from. */
export interface ReadCourse {
  course: Course;
  recording: Recording;
  input: { file: string; sha256: string };
}

/**
 * Reads the course of a FIT, TCX, GPX or CSV recording. The recording's own warnings stand before the course's.
 *
 * @throws LapbenchError when the file cannot be read or holds no course, as `readRecording` and `courseFrom` do
 */
export function readCourse(
  file: string,
  readFile: ReadFile,
  options: CourseOptions = {},
): ReadCourse {
  const bytes = readFile(file);
  const { recording, timed } = readRide(bytes, file);
  const whole = courseFrom(recording, options);
  const course = timed ? whole : { ...whole, passedAtS: null };
  // What a test of drag misses in a recording (power, a wheel sensor) a road does not.
  const ofFile = recording.warnings.filter(({ code }) => code !== 'channel-missing');
  const warnings = [...ofFile.map((one) => ({ file, ...one })), ...course.warnings];
  return { course: { ...course, warnings }, recording, input: { file, sha256: sha256(bytes) } };
}

/** A planned route has points and no times: it is a road all the same. */
function readRide(bytes: Uint8Array, file: string): { recording: Recording; timed: boolean } {
  try {
    return { recording: readRecording(bytes, file), timed: true };
  } catch (error) {
    if (!(error instanceof LapbenchError)) throw error;
    const short = error.problems[0].code === 'recording-too-short';
    const xml = bytes.subarray(0, 200).includes('<'.charCodeAt(0));
    if (!short || !xml) throw error;
    const recording = readRecording(bytes, file, { route: true });
    // Speed and laps of a route would be of made-up seconds.
    const channels = { ...recording.channels };
    delete channels.speedMps;
    return {
      recording: { ...recording, channels, warnings: [], lapMarksS: new Float64Array() },
      timed: false,
    };
  }
}
