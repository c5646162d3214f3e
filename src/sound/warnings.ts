/** The warnings of one sound: each kind of fault is told once, at the first place where it was met. */
import type { Problem } from '../core/units/index.ts';
import type { Warn } from './stream.ts';

export function warningsOf(file: string): { warnings: Problem[]; warn: Warn } {
  const warnings: Problem[] = [];
  return {
    warnings,
    warn: (problem) => {
      const known = warnings.some(
        ({ code, message }) => code === problem.code && message === problem.message,
      );
      if (!known) warnings.push({ ...problem, file });
    },
  };
}
