import {
  courseReport,
  describeCourse,
  filesBeside,
  LapbenchError,
  readCourse,
} from '../../application/index.ts';
import path from 'node:path';
import { fromHere, type Io } from '../io.ts';
import { numberOption } from '../number-option.ts';

export interface CourseCommandOptions {
  laps?: string;
  heights?: string;
  json?: boolean;
}

const heightsFrom = ['barometer', 'satellite', 'map'] as const;

/** `lapbench course ride.fit`: the road that race and descent take from it. */
export function course(io: Io, recording: string, options: CourseCommandOptions): void {
  const location = fromHere(io, recording);
  const { laps, heights } = options;
  const kind = heightsFrom.find((one) => one === heights);
  if (heights !== undefined && kind === undefined) {
    throw new LapbenchError({
      code: 'usage',
      message: `--heights is ${JSON.stringify(heights)}.`,
      remedy: `Write one of: ${heightsFrom.join(', ')}.`,
    });
  }
  const read = readCourse(path.basename(location), filesBeside(location), {
    ...(laps === undefined
      ? {}
      : { laps: laps === 'all' ? laps : numberOption('--laps', laps, { least: 1, unit: 'laps' }) }),
    heightsFrom: kind ?? null,
  });
  io.out(
    options.json
      ? `${JSON.stringify(courseReport(read, 500), null, 2)}\n`
      : describeCourse(courseReport(read, 40)),
  );
}
