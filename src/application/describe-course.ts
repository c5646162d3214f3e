/** A course in words, columns and JSON. */
import type { Corner } from '../core/courses/index.ts';
import { describeProblem, type Problem } from '../core/units/index.ts';
import { plain, signed } from './digits.ts';
import type { ReadCourse } from './read-course.ts';
import { fold, textTable } from './text-table.ts';

const right = (title: string) => ({ title, align: 'right' as const });

/** A course as `lapbench course --json` gives it. */
export interface CourseReport {
  schema: 'lapbench/course@1';
  name: string;
  lengthM: number;
  climbM: number;
  closed: boolean;
  /** Even pieces of the course, at most 500. */
  pieces: {
    fromM: number;
    toM: number;
    altitudeM: number;
    gradientPercent: number;
    /** Mean of the standard uncertainties of the slope at the points of the piece. */
    standardUncertaintyPercent: number;
    headingDeg: number | null;
  }[];
  corners: Corner[];
  warnings: Problem[];
  cautions: string[];
  inputs: { file: string; sha256: string }[];
}

const cautions = [
  'Slopes and corners come from a recording and err as stated; no radius here is a safe speed. On the road, what you see and traffic law decide.',
];

/** The course in `count` even pieces. */
export function courseReport({ course, input }: ReadCourse, count: number): CourseReport {
  const points = course.distanceM.length - 1;
  const n = Math.min(count, points);
  const at = (j: number): number => Math.round((j * points) / n);
  return {
    schema: 'lapbench/course@1',
    name: course.name,
    lengthM: course.lengthM,
    climbM: course.climbM,
    closed: course.closed,
    pieces: Array.from({ length: n }, (_, j) => {
      const [a, b] = [at(j), at(j + 1)];
      const sine = (course.altitudeM[b] - course.altitudeM[a]) / ((b - a) * course.stepM);
      const sds = course.gradientStandardUncertainty.subarray(a, b);
      return {
        fromM: course.distanceM[a],
        toM: course.distanceM[b],
        altitudeM: course.altitudeM[a],
        gradientPercent: (100 * sine) / Math.sqrt(Math.max(1e-9, 1 - sine * sine)),
        standardUncertaintyPercent: (100 * sds.reduce((sum, sd) => sum + sd, 0)) / (b - a),
        headingDeg: course.headingDeg && course.headingDeg[Math.floor((a + b) / 2)],
      };
    }),
    corners: course.corners,
    warnings: course.warnings,
    cautions,
    inputs: [input],
  };
}

/** The report as text. */
export function describeCourse(report: CourseReport): string {
  const { pieces, corners } = report;
  const km = (m: number): string => (m / 1000).toFixed(2);
  const head = `${report.name}: ${km(report.lengthM)} km, ${plain(report.climbM, 0)} m up on the smoothed road${report.closed ? ', end at its start' : ''}.`;
  const profile = textTable(
    [
      right('from km'),
      right('to km'),
      right('height m'),
      right('slope %'),
      right('±'),
      right('towards °'),
    ],
    pieces.map((one) => [
      km(one.fromM),
      km(one.toM),
      plain(one.altitudeM, 0),
      signed(one.gradientPercent, 1),
      plain(one.standardUncertaintyPercent, 1),
      one.headingDeg === null ? '-' : plain(one.headingDeg, 0),
    ]),
  );
  const tight = [...corners].sort((a, b) => a.radiusM - b.radiusM).slice(0, 20);
  const bends = textTable(
    [right('at km'), right('radius m'), right('95 % interval'), right('turn °'), { title: 'side' }],
    tight
      .sort((a, b) => a.apexM - b.apexM)
      .map(({ apexM, radiusM, radiusCi95: [low, high], turnDeg, side }) => [
        km(apexM),
        plain(radiusM, 0),
        `${plain(low, 0)} to ${Number.isFinite(high) ? plain(high, 0) : 'straight'}`,
        plain(turnDeg, 0),
        side,
      ]),
  );
  const blocks = [
    head,
    `${profile}\n${fold('Slope: of the piece; ±: standard uncertainty of the slope at a point in it.')}`,
    corners.length === 0
      ? ''
      : `Corners, ${corners.length}, the tightest ${tight.length}\n${bends}`,
    report.warnings.length === 0
      ? ''
      : `Warnings\n${report.warnings.map((one) => fold(describeProblem(one))).join('\n')}`,
    `Cautions\n${report.cautions.map((one) => fold(one)).join('\n')}`,
  ];
  return `${blocks.filter((block) => block !== '').join('\n\n')}\n`;
}
