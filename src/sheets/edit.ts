import { isCollection, isMap, isScalar, isSeq, YAMLSeq } from 'yaml';
import type { Document, YAMLMap } from 'yaml';
import type { Problem } from '../core/units/index.ts';
import { checkPath, checkValue, parentOf, refuse, refuseAliases } from './edit-path.ts';
import { isJson, styleOf } from './edit-style.ts';
import { parseSheet } from './parse.ts';
import type { DaySheet } from './schema.ts';
import { ordered, quoteClocks, render } from './write.ts';

/**
 * A change made through a form. Runs and laps count from 1, list places inside a dotted path from 0.
 * A run without a setup waits to be assigned: the sheet can be edited, not reduced.
 */
export type SheetEdit =
  | { op: 'set'; path: string; value: unknown }
  | { op: 'unset'; path: string }
  | { op: 'add-setup'; setup: DaySheet['setups'][number] }
  | { op: 'rename-setup'; setup: string; to: string }
  | { op: 'remove-setup'; setup: string }
  | { op: 'set-control'; setup: string }
  | { op: 'add-run'; run: Omit<DaySheet['runs'][number], 'setup'> & { setup?: string } }
  | { op: 'remove-run'; run: number }
  | { op: 'set-run'; run: number; setup: string | null }
  | { op: 'overrule-lap'; run: number; lap: number; use: boolean; reason: string | null }
  | { op: 'clear-overrule'; run: number; lap: number };

/**
 * Changes a sheet's text and keeps all that a person wrote in it: comments, order, keys. JSON stays
 * JSON. The result need not be a finished sheet: `readDaySheet` says what is still wrong.
 *
 * @throws LapbenchError when the text cannot be read, or an edit speaks of something that is not
 * there; then nothing is changed.
 */
export function editDaySheet(text: string, edits: readonly SheetEdit[], file = 'day.yaml'): string {
  const { document } = parseSheet(text, file);
  const root = document.contents;
  if (!isMap(root)) {
    return refuse(
      file,
      'sheet-field',
      'The day sheet has no keys to edit.',
      'Write it anew as text.',
    );
  }
  refuseAliases(document as unknown as Document, file);
  for (const edit of edits) applyEdit(document as unknown as Document, edit, file);
  quoteClocks(document as unknown as Document);
  const edited = isJson(text)
    ? `${JSON.stringify(document.toJS(), null, 2)}\n`
    : render(document as unknown as Document, styleOf(text));
  parseSheet(edited, file);
  return edited;
}

function applyEdit(document: Document, edit: SheetEdit, file: string): void {
  const stop = (code: Problem['code'], message: string, remedy: string): never =>
    refuse(file, code, message, remedy);
  const list = (key: 'setups' | 'runs' | 'laps'): YAMLSeq => {
    const node = document.get(key, true);
    if (isSeq(node)) return node;
    if (node !== undefined && !(isScalar(node) && node.value === null)) {
      stop('sheet-field', `"${key}" is not a list.`, 'Correct it as text first.');
    }
    const fresh = new YAMLSeq(document.schema);
    document.set(key, fresh);
    return fresh;
  };
  const entry = (items: YAMLSeq, index: number, what: string): YAMLMap => {
    const node = items.items[index];
    if (!isMap(node))
      return stop('sheet-field', `There is no ${what}.`, `The sheet has ${items.items.length}.`);
    return node;
  };
  const run = (number: number): YAMLMap => entry(list('runs'), number - 1, `run ${number}`);
  const setupIndex = (id: string): number => {
    const index = list('setups').items.findIndex((item) => isMap(item) && item.get('id') === id);
    if (index < 0) stop('setup-unknown', `There is no setup "${id}".`, 'Add the setup first.');
    return index;
  };
  const add = (key: 'setups' | 'runs' | 'laps', value: unknown): void => {
    checkValue(value, file);
    const items = list(key);
    const node = document.createNode(ordered(value, [key, 0]));
    if (isMap(node))
      node.flow = items.items.length === 0 || items.items.some((item) => isMap(item) && item.flow);
    items.add(node);
  };
  const overruleIndex = (runNumber: number, lap: number): number =>
    list('laps').items.findIndex(
      (item) => isMap(item) && item.get('run') === runNumber && item.get('lap') === lap,
    );
  const dropEmptyLaps = (): void => {
    if (list('laps').items.length === 0) document.delete('laps');
  };
  const ridersOf = (id: string): YAMLMap[] =>
    list('runs').items.filter((item): item is YAMLMap => isMap(item) && item.get('setup') === id);

  switch (edit.op) {
    case 'set': {
      const path = checkPath(edit.path, file);
      checkValue(edit.value, file);
      const parent = parentOf(document, path, file);
      const key = path[path.length - 1];
      if (isSeq(parent) && (typeof key !== 'number' || key > parent.items.length)) {
        stop(
          'sheet-field',
          `There is no place "${edit.path}".`,
          `The list has ${parent.items.length} entries.`,
        );
      }
      const value = ordered(edit.value, path);
      const plain = typeof value !== 'object' || value === null;
      const node = plain ? value : document.createNode(value, { flow: true });
      parent.set(key, node);
      return;
    }
    case 'unset': {
      const path = checkPath(edit.path, file);
      if (path.length === 2 && (path[0] === 'runs' || path[0] === 'setups')) {
        stop('usage', `"${edit.path}" is a whole entry.`, 'Remove the run or the setup instead.');
      }
      const parent =
        path.length === 1 ? document.contents : document.getIn(path.slice(0, -1), true);
      if (isCollection(parent)) parent.delete(path[path.length - 1]);
      return;
    }
    case 'add-setup':
      if (list('setups').items.some((item) => isMap(item) && item.get('id') === edit.setup.id)) {
        stop(
          'setup-duplicate',
          `There is already a setup "${edit.setup.id}".`,
          'Choose another id.',
        );
      }
      return add('setups', edit.setup);
    case 'rename-setup': {
      const index = setupIndex(edit.setup);
      checkValue(edit.to, file);
      if (
        list('setups').items.some(
          (item, i) => i !== index && isMap(item) && item.get('id') === edit.to,
        )
      ) {
        stop('setup-duplicate', `There is already a setup "${edit.to}".`, 'Choose another id.');
      }
      entry(list('setups'), index, 'setup').set('id', edit.to);
      for (const item of ridersOf(edit.setup)) item.set('setup', edit.to);
      if (document.get('control') === edit.setup) document.set('control', edit.to);
      return;
    }
    case 'remove-setup': {
      const index = setupIndex(edit.setup);
      if (ridersOf(edit.setup).length > 0) {
        stop(
          'sheet-field',
          `Runs are still on the setup "${edit.setup}".`,
          'Give those runs another setup first.',
        );
      }
      if (document.get('control') === edit.setup) {
        stop(
          'sheet-field',
          `"${edit.setup}" is the control setup.`,
          'Choose another control first.',
        );
      }
      list('setups').delete(index);
      return;
    }
    case 'set-control':
      setupIndex(edit.setup);
      document.set('control', edit.setup);
      return;
    case 'add-run':
      if (edit.run.setup !== undefined) setupIndex(edit.run.setup);
      return add('runs', edit.run);
    case 'remove-run': {
      run(edit.run);
      list('runs').delete(edit.run - 1);
      removeOverrules(list('laps'), edit.run);
      return dropEmptyLaps();
    }
    case 'set-run': {
      const item = run(edit.run);
      if (edit.setup === null) item.delete('setup');
      else {
        setupIndex(edit.setup);
        item.set('setup', edit.setup);
      }
      return;
    }
    case 'overrule-lap': {
      run(edit.run);
      if (!Number.isInteger(edit.lap) || edit.lap < 1) {
        stop('sheet-field', `There is no lap ${edit.lap}.`, 'Laps are counted from 1.');
      }
      checkValue(edit.reason, file);
      const index = overruleIndex(edit.run, edit.lap);
      if (index < 0) {
        return add('laps', {
          run: edit.run,
          lap: edit.lap,
          use: edit.use,
          reason: edit.reason ?? undefined,
        });
      }
      const item = entry(list('laps'), index, 'overrule');
      item.set('use', edit.use);
      if (edit.reason === null) item.delete('reason');
      else item.set('reason', edit.reason);
      return;
    }
    case 'clear-overrule': {
      const index = overruleIndex(edit.run, edit.lap);
      if (index >= 0) list('laps').delete(index);
      return dropEmptyLaps();
    }
    default:
      return stop(
        'usage',
        'There is no such edit of a day sheet.',
        'Name one of the edits of the documentation.',
      );
  }
}

/** Takes away what was said of a run's laps, and counts later runs down by one. */
function removeOverrules(laps: YAMLSeq, run: number): void {
  for (let i = laps.items.length - 1; i >= 0; i--) {
    const item = laps.items[i];
    const of = isMap(item) ? item.get('run') : undefined;
    if (of === run) laps.delete(i);
    else if (typeof of === 'number' && of > run) (item as YAMLMap).set('run', of - 1);
  }
}
