import { isAlias, isCollection, isScalar, visit } from 'yaml';
import type { Document, YAMLMap, YAMLSeq } from 'yaml';
import { LapbenchError } from '../core/units/index.ts';
import type { Problem } from '../core/units/index.ts';
import { knownKeys } from './known-keys.ts';
import { daySheetSchema } from './schema.ts';
import { shorten } from './parse.ts';

/** Stops an edit with one problem. */
export function refuse(
  file: string,
  code: Problem['code'],
  message: string,
  remedy: string,
): never {
  throw new LapbenchError({ code, file, message, remedy });
}

/** A value written once and meant in two places cannot be changed in one of them. */
export function refuseAliases(document: Document, file: string): void {
  visit(document, {
    Node: (_, node) => {
      if (isAlias(node) || node.anchor) {
        refuse(
          file,
          'sheet-field',
          'This sheet repeats values by anchor and alias ("&", "*").',
          'Edit it as text.',
        );
      }
    },
  });
}

const longestList = 1000;

/** A dotted path as keys and list places (from 0), only if a day sheet has such a place. */
export function checkPath(path: string, file: string): (string | number)[] {
  const parts = String(path)
    .split('.')
    .map((part) => (/^\d{1,4}$/.test(part) ? Number(part) : part));
  const inLists = new Set(['setups', 'runs', 'laps']);
  const known = parts.every((part, i) => {
    if (typeof part === 'number')
      return i === 1 && inLists.has(String(parts[0])) && part < longestList;
    return knownKeys(parts.slice(0, i), daySheetSchema).includes(part);
  });
  if (!known) {
    refuse(
      file,
      'sheet-field',
      `A day sheet has no place "${shorten(String(path))}".`,
      'Name one as "system.massKg" or "runs.0.setup".',
    );
  }
  return parts;
}

/** Refuses a value that no place of a sheet could hold: endless, too deep, or not plain data. */
export function checkValue(value: unknown, file: string): void {
  let left = 5000;
  const plain = (part: unknown, depth: number): boolean => {
    left -= 1;
    if (left < 0 || depth > 6) return false;
    if (part === null || part === undefined || typeof part === 'boolean') return true;
    if (typeof part === 'number') return Number.isFinite(part);
    if (typeof part === 'string') return part.length <= 5000;
    if (Array.isArray(part)) return part.every((item) => plain(item, depth + 1));
    return typeof part === 'object' && Object.values(part).every((item) => plain(item, depth + 1));
  };
  if (!plain(value, 0)) {
    refuse(
      file,
      'sheet-field',
      'This value cannot stand in a sheet.',
      'Give a text, a number, true, false, or a short group of them.',
    );
  }
}

/** The map or list that holds the last part of a path; made where the sheet has nothing yet. */
export function parentOf(
  document: Document,
  path: (string | number)[],
  file: string,
): YAMLMap | YAMLSeq {
  let parent = document.contents as unknown as YAMLMap | YAMLSeq;
  for (let i = 0; i < path.length - 1; i++) {
    let child: unknown = parent.get(path[i], true);
    if (child === undefined || (isScalar(child) && child.value === null)) {
      if (typeof path[i] === 'number') {
        refuse(
          file,
          'sheet-field',
          `There is no place "${path.slice(0, i + 1).join('.')}".`,
          'Add the entry first.',
        );
      }
      child = document.createNode(typeof path[i + 1] === 'number' ? [] : {}, {
        flow: typeof path[i + 1] !== 'number',
      });
      parent.set(path[i], child);
    }
    if (!isCollection(child)) {
      return refuse(
        file,
        'sheet-field',
        `"${path.slice(0, i + 1).join('.')}" does not hold keys.`,
        'Correct it as text first.',
      );
    }
    parent = child as YAMLMap | YAMLSeq;
  }
  return parent;
}
