import type { Problem } from '../core/units/index.ts';
import { readClock } from './clock.ts';
import { didYouMean } from './did-you-mean.ts';
import { show } from './explain.ts';
import type { ParsedSheet } from './parse.ts';

/** What the parts of a sheet must say together. */
export interface RuleFindings {
  errors: Problem[];
  warnings: Problem[];
}

type Loose = Record<string, unknown>;

/**
 * Checks what no single field can show: setups that runs name, windows that overlap, laps of runs
 * that are not there. Works on sheets whose fields are partly wrong, so that a person sees
 * everything at once; what is not readable is passed over here because its own field is reported.
 */
export function checkRules(sheet: ParsedSheet, file: string): RuleFindings {
  const errors: Problem[] = [];
  const warnings: Problem[] = [];
  const data = asMap(sheet.data);
  const setups = asList(data.setups).map(asMap);
  const runs = asList(data.runs).map(asMap);
  const ids = setups.map((setup) => setup.id).filter(isText);
  const known = new Set(ids);
  const add = (
    to: Problem[],
    code: Problem['code'],
    field: string,
    message: string,
    remedy: string,
  ): void => {
    to.push({ code, file, place: sheet.placeOf(field), message, remedy });
  };

  const first = new Map<string, number>();
  setups.forEach(({ id }, i) => {
    if (!isText(id)) return;
    const earlier = first.get(id);
    if (earlier === undefined) first.set(id, i);
    else {
      add(
        errors,
        'setup-duplicate',
        `setups.${i}.id`,
        `Setups ${earlier + 1} and ${i + 1} have the same id ${show(id)}.`,
        'Give each setup an id of its own; a setup that was refitted between runs is still one setup.',
      );
    }
  });

  const unknownSetup = (id: string): string => {
    const near = didYouMean(id, known);
    if (near) return `Did you mean "${near}"?`;
    return known.size > 0
      ? `Setups of this sheet: ${[...known].slice(0, 12).join(', ')}.`
      : 'List it under "setups".';
  };
  runs.forEach(({ setup }, i) => {
    if (isText(setup) && !known.has(setup)) {
      add(
        errors,
        'setup-unknown',
        `runs.${i}.setup`,
        `Run ${i + 1} names the setup ${show(setup)}, which is not listed under "setups".`,
        unknownSetup(setup),
      );
    }
  });

  const control = data.control ?? ids[0];
  const controlKnown = isText(control) && known.has(control);
  if (isText(control) && !controlKnown) {
    add(
      errors,
      'setup-unknown',
      'control',
      `The control ${show(control)} is not listed under "setups".`,
      unknownSetup(control),
    );
  }

  const ridden = new Set(runs.map((run) => run.setup).filter(isText));
  const anyRidden = ids.some((id) => ridden.has(id));
  first.forEach((i, id) => {
    if (ridden.has(id) || !anyRidden) return;
    if (controlKnown && id === control) {
      add(
        errors,
        'setup-not-ridden',
        `setups.${i}.id`,
        `The control setup ${show(id)} is never ridden, so nothing can be compared to it.`,
        'Name as "control" a setup that was ridden, or correct the runs.',
      );
    } else {
      add(
        warnings,
        'setup-not-ridden',
        `setups.${i}.id`,
        `The setup ${show(id)} is listed but never ridden; it is left out of the comparison.`,
        'Correct the runs, or take the setup away.',
      );
    }
  });
  const riddenHere = [...first.keys()].filter((id) => ridden.has(id));
  if (riddenHere.length === 1 && errors.length === 0) {
    add(
      warnings,
      'one-setup-only',
      'setups',
      `All runs are on one setup, ${show(riddenHere[0])}: there is nothing to compare.`,
      'Add runs on another setup, or correct the runs.',
    );
  }

  checkWindows(runs, (code, field, message, remedy) => add(errors, code, field, message, remedy));
  checkOverrules(asList(data.laps).map(asMap), runs.length, (code, field, message, remedy) =>
    add(errors, code, field, message, remedy),
  );
  return { errors, warnings };
}

type Say = (code: Problem['code'], field: string, message: string, remedy: string) => void;

function checkWindows(runs: Loose[], say: Say): void {
  const windows: { index: number; file: string; fromS: number; toS: number }[] = [];
  runs.forEach((run, index) => {
    const fromS = run.from === undefined ? 0 : readClock(run.from);
    const toS = run.to === undefined ? Infinity : readClock(run.to);
    if (fromS === null || toS === null) return;
    if (fromS >= toS) {
      say(
        'run-window',
        `runs.${index}.${run.to === undefined ? 'from' : 'to'}`,
        `Run ${index + 1} ends (${show(run.to)}) before it begins (${run.from === undefined ? '0' : show(run.from)}).`,
        'Both count from the first sample of the file; "from" must come before "to".',
      );
    } else if (isText(run.file)) windows.push({ index, file: run.file, fromS, toS });
  });
  const byFile = new Map<string, typeof windows>();
  for (const window of windows)
    byFile.set(window.file, [...(byFile.get(window.file) ?? []), window]);
  for (const sameFile of byFile.values()) {
    const ordered = [...sameFile].sort((a, b) => a.fromS - b.fromS || a.index - b.index);
    let widest = ordered[0];
    for (const window of ordered.slice(1)) {
      if (window.fromS < widest.toS) {
        const [early, late] = [widest, window].sort((a, b) => a.index - b.index);
        say(
          'run-overlap',
          `runs.${late.index}`,
          `Runs ${early.index + 1} and ${late.index + 1} both use the same part of ${show(window.file)}.`,
          'Give each run of one file its own "from" and "to", or its own file.',
        );
      }
      if (window.toS > widest.toS) widest = window;
    }
  }
}

function checkOverrules(overrules: Loose[], runCount: number, say: Say): void {
  const seen = new Map<string, number>();
  overrules.forEach(({ run, lap }, i) => {
    if (typeof run !== 'number' || typeof lap !== 'number') return;
    if (Number.isInteger(run) && run > runCount) {
      say(
        'overrule-unknown',
        `laps.${i}.run`,
        `Entry ${i + 1} of laps speaks of run ${run}, but there are ${runCount} runs.`,
        'Runs are counted from 1 in the order of the sheet.',
      );
    }
    const key = `${run} ${lap}`;
    const earlier = seen.get(key);
    if (earlier === undefined) seen.set(key, i);
    else {
      say(
        'sheet-field',
        `laps.${i}`,
        `Entries ${earlier + 1} and ${i + 1} of laps both speak of run ${run}, lap ${lap}.`,
        'Keep one of the two.',
      );
    }
  });
}

const isText = (value: unknown): value is string => typeof value === 'string' && value.length > 0;
const asList = (value: unknown): unknown[] => (Array.isArray(value) ? value : []);
const asMap = (value: unknown): Loose =>
  typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Loose) : {};
