/** Spoke readings in, tensions and what to turn out. */
import { estimateTension, type KnownSpoke, type TensionUnit } from '../core/methods/index.ts';
import { LapbenchError, type Problem } from '../core/units/index.ts';
import { readCalibration, readSpokes } from '../recordings/index.ts';
import { inFile, type NamedText } from './bench-text.ts';
import type { TensionFinding } from './contract.ts';
import { sha256 } from './edges.ts';
import { placedInSheet, readWheel } from './read-wheel.ts';

export type { KnownSpoke, TensionUnit } from '../core/methods/index.ts';

/** What the readings are, and what they are held against. What is left out takes its usual value. */
export interface TensionQuestions {
  as: 'tension' | 'gauge' | 'pitch';
  /** The gauge's own table, `reading, tension_n` and perhaps `spoke_type`; needed for `gauge`. */
  calibration?: NamedText | null;
  /** Which kind of spoke of that table. */
  spokeType?: string | null;
  /** What tensions in readings or table are written in; without it newtons, asked where in doubt. */
  unit?: TensionUnit | null;
  /** Percent of the mean of the side; 20 is common practice. */
  tolerancePercent?: number | null;
  /** The maker's maximum, N. */
  maximumN?: number | null;
  /** For `pitch`: one spoke of known tension, or several; passed over otherwise, as is the table. */
  known?: KnownSpoke | readonly KnownSpoke[] | null;
  /** How far turns may move the rim; half a millimetre each way is common practice. */
  lateralLimitMm?: number | null;
  radialLimitMm?: number | null;
}

/** Common practice, no source: what a tester takes for true. */
const usualLimitMm = 0.5;

/**
 * Reduces a table of spokes. The wheel sheet is needed for pitch, for the ratio of the sides and for a plan.
 *
 * @throws LapbenchError with files and lines when a table or the sheet is wrong, or they do not fit together
 */
export function reduceTension(
  readings: NamedText,
  questions: TensionQuestions,
  wheel: NamedText | null = null,
): TensionFinding {
  const { text, file } = readings;
  const { known = null, calibration = null } = questions;
  const sheet = wheel && readWheel(wheel);
  const used = questions.as === 'gauge' ? calibration : null;
  const placed = (problem: Problem): Problem =>
    wheel && sheet && problem.code.startsWith('wheel-')
      ? placedInSheet(problem, wheel.file, sheet.placeOf)
      : problem;
  return inFile(file, () => {
    try {
      return estimateTension({
        readings: readSpokes(text, file),
        as: questions.as,
        unit: questions.unit ?? null,
        calibration: used && {
          points: readCalibration(used.text, used.file),
          file: used.file,
        },
        spokeType: questions.spokeType ?? null,
        tolerancePercent: questions.tolerancePercent ?? null,
        maximumN: questions.maximumN ?? null,
        // A form keeps what was typed for another kind of reading.
        known: known === null || questions.as !== 'pitch' ? [] : [known].flat(),
        wheel: sheet && sheet.wheel,
        limits: {
          lateralM: (questions.lateralLimitMm ?? usualLimitMm) / 1000,
          radialM: (questions.radialLimitMm ?? usualLimitMm) / 1000,
        },
        inputs: [readings, ...(used ? [used] : []), ...(wheel ? [wheel] : [])].map((one) => ({
          file: one.file,
          sha256: sha256(one.text),
        })),
      });
    } catch (error) {
      if (error instanceof LapbenchError) throw new LapbenchError(error.problems.map(placed));
      throw error;
    }
  });
}
