import { isCollection, isMap, isScalar } from 'yaml';
import type { Document, Scalar } from 'yaml';
import { LapbenchError } from '../core/units/index.ts';
import { isJson, styleOf } from './edit-style.ts';
import { checkValue, parentOf, refuse, refuseAliases } from './edit-path.ts';
import { knownKeys } from './known-keys.ts';
import { parseSheet, shorten } from './parse.ts';
import { wheelSheetSchema } from './wheel-schema.ts';
import { render } from './write.ts';

/** A value of a wheel sheet by its dotted path, `spokes.left.count`. */
export type WheelSheetEdit =
  { op: 'set'; path: string; value: number | string | boolean } | { op: 'unset'; path: string };

/**
 * Changes single values of a wheel sheet and keeps all else that a person wrote: comments, order, even
 * the blanks that line columns up. The result need not be sound: `readWheelSheet` says what is wrong.
 *
 * @throws LapbenchError when the text cannot be read, or a path is none of a wheel sheet; then nothing
 * is changed.
 */
export function editWheelSheet(
  text: string,
  edits: readonly WheelSheetEdit[],
  file = 'wheel.yaml',
): string {
  return edits.reduce((sheet, edit) => applied(sheet, edit, file), text);
}

/** The sheet as plain data for forms, whatever is wrong with its values; null when it cannot be read at all. */
export function wheelSheetData(text: string): unknown {
  try {
    return JSON.parse(JSON.stringify(parseSheet(text, '').data)) as unknown;
  } catch (error) {
    if (error instanceof LapbenchError) return null;
    throw error;
  }
}

function applied(text: string, edit: WheelSheetEdit, file: string): string {
  const document = parseSheet(text, file).document as unknown as Document;
  if (!isMap(document.contents))
    refuse(file, 'sheet-field', 'The sheet has no keys to edit.', 'Write it anew as text.');
  refuseAliases(document, file);
  const path = checkWheelPath(edit.path, file);
  if (edit.op === 'set') {
    checkValue(edit.value, file);
    const there: unknown = document.getIn(path, true);
    // A plain number in its old place: the rest of the text is not even looked at.
    if (typeof edit.value === 'number' && isPlainScalar(there) && !isJson(text)) {
      const [start, end] = there.range;
      return `${text.slice(0, start)}${String(edit.value)}${text.slice(end)}`;
    }
    if (isCollection(there))
      refuse(
        file,
        'sheet-field',
        `"${edit.path}" is a group of values.`,
        'Change one value of it at a time.',
      );
    parentOf(document, path, file).set(path[path.length - 1], edit.value);
  } else document.deleteIn(path);
  const edited = isJson(text)
    ? `${JSON.stringify(document.toJS(), null, 2)}\n`
    : render(document, styleOf(text));
  parseSheet(edited, file);
  return edited;
}

type Placed = Scalar & { range: [number, number, number] };

const isPlainScalar = (node: unknown): node is Placed =>
  isScalar(node) &&
  node.type === 'PLAIN' &&
  Array.isArray(node.range) &&
  node.range[1] > node.range[0];

function checkWheelPath(path: string, file: string): string[] {
  const parts = String(path).split('.');
  const known = parts.every((part, i) =>
    knownKeys(parts.slice(0, i), wheelSheetSchema).includes(part),
  );
  if (!known)
    refuse(
      file,
      'sheet-field',
      `A wheel sheet has no place "${shorten(String(path))}".`,
      'Name one as "rim.radiusM" or "spokes.left.count".',
    );
  return parts;
}
