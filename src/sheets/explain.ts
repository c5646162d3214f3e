import type { z } from 'zod';
import type { Problem } from '../core/units/index.ts';
import { didYouMean } from './did-you-mean.ts';
import { shorten } from './parse.ts';
import type { ParsedSheet } from './parse.ts';
import type { Quantity } from './quantities.ts';
import { dayKind, type SheetKind } from './kind.ts';
import { knownKeys } from './known-keys.ts';

type Issue = z.core.$ZodIssue;
type Path = readonly PropertyKey[];

/** What is wrong with one part of a sheet, in plain words. One schema issue may hold several unknown keys. */
export function explainIssue(
  issue: Issue,
  sheet: ParsedSheet,
  file: string,
  kind: SheetKind = dayKind,
): Problem[] {
  const path = issue.path;
  const field = path.map(String).join('.');
  const value = valueAt(sheet.data, path);
  if (issue.code === 'unrecognized_keys') {
    return issue.keys.map((key) => unknownKey(key, path, sheet, file, kind));
  }
  const problem = (
    message: string,
    remedy: string,
    code: Problem['code'] = 'sheet-field',
  ): Problem[] => [
    { code, file, place: sheet.placeOf(field), message: `${whose(path)}${message}`, remedy },
  ];
  const key = capital(nameOf(path, kind));
  if (value === undefined) {
    return problem(`${key} is missing.`, `Add ${exampleOf(path, kind)}.`);
  }
  if (value === null) {
    return problem(
      `${key} has no value.`,
      `Write ${exampleOf(path, kind)}, or take the line away if it may be left out.`,
    );
  }
  const quantity = kind.quantities[patternOf(path)];
  if (quantity && !isClock(path)) return problem(...explainNumber(key, value, quantity));
  return problem(...explainOther(issue, path, key, value, kind));
}

type Explanation = [message: string, remedy: string, code?: Problem['code']];

function explainNumber(key: string, value: unknown, quantity: Quantity): Explanation {
  const unit = quantity.unit ? ` ${quantity.unit}` : '';
  const wanted = `${quantity.name}${quantity.unit ? ` in ${quantity.unit}` : ''}`;
  if (typeof value === 'string') {
    const number = /^\s*([+-]?\d+(?:[.,]\d+)?(?:e[+-]?\d+)?)\s*(.*)$/iu.exec(value);
    if (number) {
      return [
        `${key} is the text ${show(value)}, where a number belongs: ${wanted}.`,
        number[2] === '' && !number[1].includes(',')
          ? `Take the quotes away: ${number[1]}.`
          : `Write the number alone, with a decimal point and without a unit: ${number[1].replace(',', '.')}.`,
      ];
    }
  }
  if (typeof value !== 'number' || Number.isNaN(value)) {
    return [
      `${key} should be a number: ${wanted}. It is ${show(value)}.`,
      `Write a number from ${quantity.min} to ${quantity.max}.`,
    ];
  }
  const slip = quantity.wrongUnits.find(({ from, to }) => value >= from && value <= to);
  if (slip) {
    const meant = slip.convert(value);
    return [
      `${key} is ${value}: as ${wanted}, that cannot be; it looks like ${slip.looksLike}.`,
      Number.isFinite(meant)
        ? `Write ${meant}${quantity.unit ? ` (${quantity.unit})` : ''} if that is what is meant.`
        : `Write a number from ${quantity.min} to ${quantity.max}.`,
      'sheet-unit',
    ];
  }
  if (value >= quantity.min && value <= quantity.max) {
    return [
      `${key} is ${value}, where a whole number belongs: ${wanted}.`,
      'Write a whole number.',
    ];
  }
  return [
    `${key} is ${value}: ${wanted} lies between ${quantity.min} and ${quantity.max}${unit}.`,
    'Check the value and its unit.',
  ];
}

function explainOther(
  issue: Issue,
  path: Path,
  key: string,
  value: unknown,
  kind: SheetKind,
): Explanation {
  const last = path.at(-1);
  if (isClock(path)) {
    const short = typeof value === 'string' && /^\d{1,3}:\d{2}$/.exec(value);
    return [
      `${key} is ${show(value)}: that is not a time from the start of the file.`,
      short
        ? `Write hours too, "00:${value.padStart(5, '0')}", or seconds.`
        : 'Write hours, minutes and seconds as "00:21:10", or seconds as 1270, up to 48 hours.',
    ];
  }
  if (last === 'date') {
    return [
      `${key} is ${show(value)}: that is not a day of the calendar in the form YYYY-MM-DD.`,
      'Write year, month and day, for example 2026-05-17.',
    ];
  }
  if (issue.code === 'invalid_value') {
    const words = issue.values.map(String);
    const near = typeof value === 'string' ? didYouMean(value, words) : null;
    return [
      `${key} is ${show(value)}, which is none of: ${words.join(', ')}.`,
      near ? `Did you mean "${near}"?` : `Write ${words.length > 1 ? 'one of them' : words[0]}.`,
    ];
  }
  if (issue.code === 'invalid_type') return explainType(issue.expected, key, value, path, kind);
  if (issue.code === 'too_small' && (issue.origin === 'array' || issue.origin === 'string')) {
    return [`${key} is empty.`, `Write ${exampleOf(path, kind)}.`];
  }
  if (issue.code === 'too_big' && issue.origin === 'array') {
    return [`${key} has more than ${String(issue.maximum)} entries.`, kind.tooMany];
  }
  if (issue.code === 'too_big' && issue.origin === 'string') {
    return [`${key} is longer than ${String(issue.maximum)} characters.`, 'Shorten it.'];
  }
  if (last === 'file') {
    return [
      `${key} is ${show(value)}: a recording must lie beside the day sheet or in a folder under it.`,
      'Copy the recording there and write its name, for example run-1.fit, with "/" between folder and name.',
    ];
  }
  if (last === 'id') {
    return [
      `${key} is ${show(value)}: an id is a short name of letters, digits and the signs . _ + -`,
      'Choose a short name such as deep-1 and put the full name under "name".',
    ];
  }
  return [
    `${key} is ${show(value)}, which cannot stand here.`,
    `Write ${exampleOf(path, kind)} on one line.`,
  ];
}

function explainType(
  expected: string,
  key: string,
  value: unknown,
  path: Path,
  kind: SheetKind,
): Explanation {
  if (expected === 'string') {
    const plain = typeof value === 'number' || typeof value === 'boolean';
    return [
      `${key} should be text; it is ${show(value)}.`,
      plain ? `Put it in quotes: "${String(value)}".` : `Write ${exampleOf(path, kind)}.`,
    ];
  }
  if (expected === 'boolean') {
    return [
      `${key} should be true or false; it is ${show(value)}.`,
      'Write true or false, without quotes.',
    ];
  }
  if (expected === 'array') {
    return [`${key} should be a list; it is ${show(value)}.`, `Write ${exampleOf(path, kind)}.`];
  }
  if (expected === 'object' && path.length === 0) {
    return [`The ${kind.noun} is ${show(value)}, where keys with values belong.`, kind.beginning];
  }
  if (expected === 'object') {
    const keys = knownKeys(path, kind.schema);
    return [
      `${key} should hold keys with values (${keys.join(', ')}); it is ${show(value)}.`,
      `Write ${exampleOf(path, kind)}.`,
    ];
  }
  return [`${key} is ${show(value)}, which cannot stand here.`, `Write ${exampleOf(path, kind)}.`];
}

function unknownKey(
  key: string,
  path: Path,
  sheet: ParsedSheet,
  file: string,
  kind: SheetKind,
): Problem {
  const known = knownKeys(path, kind.schema);
  const near = didYouMean(key, known);
  const afterComma = /^\d+$/.test(key)
    ? 'If a decimal comma stands before it, write a decimal point.'
    : null;
  return {
    code: 'sheet-field',
    file,
    place: sheet.placeOfKey([...path, key].map(String).join('.')),
    message: `${whose(path)}There is no key "${shorten(key)}" ${path.length === 0 ? `in a ${kind.noun}` : `in ${nameOf(path, kind)}`}.`,
    remedy: afterComma ?? (near ? `Did you mean "${near}"?` : `Known here: ${known.join(', ')}.`),
  };
}

/** `system.massKg`, list places as `*`. */
function patternOf(path: Path): string {
  return path.map((part) => (typeof part === 'number' ? '*' : String(part))).join('.');
}

const isClock = (path: Path): boolean =>
  path[0] === 'runs' && (path.at(-1) === 'from' || path.at(-1) === 'to');

/** `Run 2: ` for what stands in the second run; empty elsewhere. */
function whose(path: Path): string {
  const names: Record<string, string> = {
    runs: 'Run',
    setups: 'Setup',
    laps: 'Entry',
    climbs: 'Climb',
  };
  const [list, index] = path;
  return typeof index === 'number' && path.length > 2 && names[String(list)]
    ? `${names[String(list)]} ${index + 1}${list === 'laps' ? ' of laps' : ''}: `
    : '';
}

function nameOf(path: Path, kind: SheetKind): string {
  const [list, index] = path;
  if (path.length === 0) return `The ${kind.noun}`;
  if (path.length === 2 && typeof index === 'number') {
    return list === 'runs'
      ? `run ${index + 1}`
      : list === 'setups'
        ? `setup ${index + 1}`
        : `entry ${index + 1} of ${String(list)}`;
  }
  return `"${String(path.at(-1))}"`;
}

const capital = (text: string): string => `${text[0].toUpperCase()}${text.slice(1)}`;

function exampleOf(path: Path, kind: SheetKind): string {
  const example = kind.examples[patternOf(path)];
  if (example) return example;
  if (path[0] === 'csv') return '"{column: kph, unit: km/h}"';
  return `"${String(path.at(-1))}: ..."`;
}

/** A value as it stands in a message. */
export function show(value: unknown): string {
  if (typeof value === 'string') return `"${shorten(value)}"`;
  if (value === null || value === undefined) return 'empty';
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (typeof value === 'object') return 'a group of keys';
  return String(value);
}

function valueAt(data: unknown, path: Path): unknown {
  let value = data;
  for (const part of path) {
    if (typeof value !== 'object' || value === null) return undefined;
    value = (value as Record<PropertyKey, unknown>)[part];
  }
  return value;
}
