/** Commands on the library. */
import fs from 'node:fs';
import {
  describeFinding,
  filesBeside,
  findingAsJson,
  headline,
  LapbenchError,
  openLibraryDays,
  readSheetFile,
  textTable,
  type DaySummary,
  type LibraryDays,
} from '../../application/index.ts';
import { fromHere, type At } from '../io.ts';
import { libraryPath } from '../library-path.ts';
import type { FindingOptions } from './drag.ts';

const anyLibrary = { mustExist: false };
const itsOwn = { mustExist: true };

/** `lapbench keep day.yaml` */
export async function keep(at: At, sheet: string): Promise<void> {
  const location = fromHere(at.io, sheet);
  const text = readSheetFile(location, sheet);
  await withLibrary(
    at,
    async (library) => {
      const kept = await library.keepSheet(text, sheet, filesBeside(location));
      const what = kept.again ? 'was there already; its finding is kept afresh' : 'is kept';
      at.io.out(`Day ${kept.id} ${what}, with ${counted(kept.recordings, 'recording')}.\n`);
      at.io.out(`${headline(kept.finding)}\n`);
      at.io.out(`Next: lapbench show ${kept.id}\n`);
    },
    anyLibrary,
  );
}

/** `lapbench days` */
export async function list(at: At, options: { removed?: boolean; json?: boolean }): Promise<void> {
  await withLibrary(at, async ({ days }) => {
    const found = days.list({ removed: options.removed });
    if (options.json) return at.io.out(`${JSON.stringify({ days: found }, null, 2)}\n`);
    if (found.length === 0) {
      const removed = options.removed ? 0 : days.list({ removed: true }).length;
      const none =
        removed > 0
          ? `The library holds no day but ${removed} removed; see "lapbench days --removed"`
          : options.removed
            ? 'No day is removed'
            : 'The library holds no day yet';
      return at.io.out(`${none} (${libraryPath(at)}).\n`);
    }
    at.io.out(`${tableOfDays(found)}\n`);
  });
}

/** `lapbench show ID` */
export async function show(at: At, given: string, options: FindingOptions): Promise<void> {
  await withLibrary(at, async ({ days }) => {
    const finding = await days.finding(idOf(days.list(), given));
    at.io.out(options.json ? findingAsJson(finding, options) : describeFinding(finding, options));
  });
}

/** `lapbench recompute ID` or `--all`; days that fail do not stop the rest. */
export async function recompute(
  at: At,
  given: string | undefined,
  options: { all?: boolean },
): Promise<void> {
  if ((given === undefined) === !options.all) {
    throw new LapbenchError({
      code: 'usage',
      message: 'Which day is to be recomputed?',
      remedy: 'Name one id, or write --all; not both.',
    });
  }
  await withLibrary(at, async ({ days }) => {
    const known = days.list();
    const ids = options.all
      ? known.filter((day) => day.state === 'kept').map((day) => day.id)
      : [idOf(known, given!)];
    const refused: LapbenchError[] = [];
    for (const id of ids) {
      try {
        const { before, after } = await days.recompute(id);
        const same = before !== null && headline(before) === headline(after);
        at.io.out(`${id}: ${headline(after)}${same ? ' (as before)' : ''}\n`);
        if (before && !same) at.io.out(`  before: ${headline(before)}\n`);
      } catch (error) {
        if (!(error instanceof LapbenchError)) throw error;
        refused.push(error);
      }
    }
    if (refused.length > 0) throw new LapbenchError(refused.flatMap((error) => error.problems));
    if (ids.length === 0) at.io.out('The library holds no kept day.\n');
  });
}

/** `lapbench remove ID` */
export async function remove(at: At, given: string): Promise<void> {
  await withLibrary(at, async ({ days }) => {
    const id = idOf(days.list(), given);
    days.remove(id);
    at.io.out(`Day ${id} is removed. "lapbench restore ${id}" brings it back.\n`);
  });
}

/** `lapbench restore ID` */
export async function restore(at: At, given: string): Promise<void> {
  await withLibrary(at, async ({ days }) => {
    const id = idOf([...days.list({ removed: true }), ...days.list()], given);
    days.restore(id);
    at.io.out(`Day ${id} is in the library.\n`);
  });
}

/** `lapbench backup FILE` */
export async function backup(at: At, file: string): Promise<void> {
  const target = fromHere(at.io, file);
  if (fs.existsSync(target)) {
    throw new LapbenchError({
      code: 'usage',
      file,
      message: 'This file exists already and is left as it is.',
      remedy: 'Name a new file.',
    });
  }
  await withLibrary(
    at,
    async (library) => {
      library.backup(target);
      at.io.out(
        `The library is copied to ${file} (${(fs.statSync(target).size / 1e6).toFixed(1)} MB).\n`,
      );
    },
    itsOwn,
  );
}

/** `lapbench verify` */
export async function verify(at: At): Promise<void> {
  await withLibrary(
    at,
    async (library) => {
      const { problems, days, recordings, bytes, findings, benchItems, sounds } = library.verify();
      if (problems.length > 0) throw new LapbenchError(problems);
      const parts = [
        counted(days, 'day'),
        counted(findings, 'finding'),
        `${counted(recordings, 'recording')} (${(bytes / 1e6).toFixed(1)} MB)`,
        counted(benchItems, 'bench item'),
        counted(sounds, 'sound'),
      ];
      at.io.out(`The library ${libraryPath(at)} is sound: ${parts.join(', ')}.\n`);
    },
    itsOwn,
  );
}

/**
 * Opens the library for what is in it. One that was named and is not there is refused, always where
 * `mustExist`: opening makes an empty one, which would then be called sound, or copied for a backup.
 */
async function withLibrary(
  at: At,
  work: (library: LibraryDays) => Promise<void>,
  { mustExist = at.library !== null } = {},
): Promise<void> {
  const location = libraryPath(at);
  if (mustExist && !fs.existsSync(location)) {
    throw new LapbenchError({
      code: 'file-missing',
      file: at.library ?? location,
      message: 'There is no library here.',
      remedy: 'Check the name; "lapbench keep" makes a new one.',
    });
  }
  const library = await openLibraryDays(location);
  try {
    await work(library);
  } finally {
    await library.close();
  }
}

/** The id that begins with what was typed. */
function idOf(days: DaySummary[], given: string): string {
  const exact = days.find((day) => day.id === given);
  if (exact) return exact.id;
  const found = days.filter((day) => day.id.startsWith(given));
  if (found.length === 1) return found[0].id;
  throw new LapbenchError({
    code: 'day-unknown',
    message:
      found.length === 0
        ? `The library holds no day ${JSON.stringify(given)}.`
        : `${found.length} days begin with ${JSON.stringify(given)}.`,
    remedy: '"lapbench days" lists the ids.',
  });
}

function tableOfDays(days: DaySummary[]): string {
  return textTable(
    [
      { title: 'id' },
      { title: 'date' },
      { title: 'state' },
      { title: 'title' },
      { title: 'setups', align: 'right' },
      { title: 'runs', align: 'right' },
      { title: 'finding' },
    ],
    days.map((day) => [
      day.id,
      day.date,
      day.state,
      labelled(day),
      String(day.setups),
      String(day.runs),
      day.headline,
    ]),
  );
}

/** Invented days say so in every listing, unless their title does. */
function labelled({ title, invented }: DaySummary): string {
  return invented && !/invented/i.test(title) ? `${title} (invented)` : title;
}

function counted(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? '' : 's'}`;
}
