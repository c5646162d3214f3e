/** A course out of a recording's bytes. */
import { courseFrom, type Course, type CourseOptions } from '../core/courses/index.ts';
import type { Recording } from '../core/evidence/index.ts';
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
  const recording = readRecording(bytes, file);
  const course = courseFrom(recording, options);
  const warnings = [...recording.warnings.map((one) => ({ file, ...one })), ...course.warnings];
  return { course: { ...course, warnings }, recording, input: { file, sha256: sha256(bytes) } };
}
