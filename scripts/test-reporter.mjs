// A reporter for node:test: one line for each file, every failure in full, the counts to a file.
import fs from 'node:fs';
import path from 'node:path';
import { inspect } from 'node:util';

const short = (file) => (file ? path.relative(process.cwd(), file) : 'tests');

/** The error as a person wants it: the assertion's own words and stack, without the runner's wrapper. */
function describe(error) {
  const cause =
    error?.cause instanceof Error || typeof error?.cause === 'string' ? error.cause : error;
  const text = typeof cause === 'string' ? cause : (cause?.stack ?? inspect(cause, { depth: 6 }));
  return text.replace(/^/gm, '    ');
}

export default async function* reporter(source) {
  const counts = { passed: 0, failed: 0, skipped: 0 };
  const files = new Map();
  const output = new Map();
  const lineOf = (file) => {
    const seen = files.get(file);
    files.delete(file);
    const state = seen.failed > 0 ? 'failed ' : 'passed ';
    const line = `${state} ${file}: ${seen.passed} passed, ${seen.failed} failed, ${(seen.durationMs / 1000).toFixed(1)} s\n`;
    const printed = seen.failed > 0 ? output.get(file) : undefined;
    return printed === undefined ? line : `${line}  what it printed:\n${printed}\n`;
  };
  for await (const { type, data } of source) {
    const file = short(data?.file);
    if (type === 'test:summary' && files.has(file)) yield lineOf(file);
    if (type === 'test:stdout' || type === 'test:stderr') {
      output.set(file, (output.get(file) ?? '') + data.message);
      continue;
    }
    if (type !== 'test:pass' && type !== 'test:fail') continue;
    // A suite, or a file that stands for its tests, only sums up what is counted below it.
    const sumsUp =
      data.details?.type === 'suite' || data.details?.error?.failureType === 'subtestsFailed';
    if (sumsUp) continue;
    // A file reported by its own name held no test at all (or never got so far).
    const empty = type === 'test:pass' && data.file && path.resolve(data.name) === data.file;
    const seen = files.get(file) ?? { passed: 0, failed: 0, skipped: 0, durationMs: 0 };
    const kind =
      empty || (type === 'test:fail' && !data.todo)
        ? 'failed'
        : data.skip !== undefined || data.todo !== undefined
          ? 'skipped'
          : 'passed';
    seen[kind]++;
    counts[kind]++;
    seen.durationMs += data.details?.duration_ms ?? 0;
    files.set(file, seen);
    if (kind === 'skipped')
      yield `skipped ${file}: ${data.name}${typeof data.skip === 'string' ? ` (${data.skip})` : ''}\n`;
    if (kind === 'failed')
      yield `failed  ${file}: ${data.name}\n${empty ? '    This file holds no test.' : describe(data.details?.error)}\n`;
  }
  for (const file of files.keys()) yield lineOf(file);
  if (process.env.LAPBENCH_TEST_COUNTS)
    fs.writeFileSync(process.env.LAPBENCH_TEST_COUNTS, JSON.stringify(counts));
}
