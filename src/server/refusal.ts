/** Which status a failure gets. */
import { LapbenchError, type Problem } from '../application/index.ts';

export type RefusalStatus = 400 | 404 | 409 | 412 | 413;

const statusOf: Partial<Record<Problem['code'], RefusalStatus>> = {
  'day-unknown': 404,
  'recording-unknown': 404,
  'bench-item-unknown': 404,
  'sound-unknown': 404,
  'upload-unknown': 404,
  'day-removed': 409,
  'bench-item-removed': 409,
  'sound-removed': 409,
  'upload-offset': 409,
  'analysis-stopped': 409,
  'name-taken': 409,
  'day-changed': 412,
  'bench-item-changed': 412,
  'sound-changed': 412,
  'file-too-large': 413,
};

/** The refusal for a person's mistake; null when the error is our own fault. */
export function refusalOf(
  error: unknown,
): { status: RefusalStatus; problems: readonly Problem[] } | null {
  if (!(error instanceof LapbenchError)) return null;
  return { status: statusOf[error.problems[0].code] ?? 400, problems: error.problems };
}
