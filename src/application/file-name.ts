/** File names from strangers, made harmless: a stored recording has a name, never a path. */
import { LapbenchError } from '../core/units/index.ts';

const longestName = 120;

/**
 * The plain file name in what was given: without folders, control and direction characters, and
 * characters that some system gives a meaning. Throws `LapbenchError` when nothing is left.
 */
export function plainFileName(given: string): string {
  const last = given.split(/[/\\]/).at(-1) ?? '';
  const clean = last
    .normalize('NFC')
    .replace(/[\p{Cc}\p{Cf}\p{Cs}\p{Co}\p{Zl}\p{Zp}]/gu, '')
    .replace(/[<>:"|?*]/g, '-')
    .trim()
    .replace(/^\.+/, '')
    .replace(/[. ]+$/, '');
  if (clean === '') {
    throw new LapbenchError({
      code: 'usage',
      message: `${JSON.stringify(given.slice(0, 80))} is not a file name.`,
      remedy: 'Give the recording a plain name such as run-1.fit.',
    });
  }
  return shorten(clean);
}

/** Keeps the ending: it says what kind of recording it is. */
function shorten(name: string): string {
  const letters = [...name];
  if (letters.length <= longestName) return name;
  const ending = name.match(/\.[A-Za-z0-9]{1,8}$/)?.[0] ?? '';
  return letters.slice(0, longestName - ending.length).join('') + ending;
}

/** `name`, or `name` with a number before its ending when it is among `taken`. */
export function freeName(name: string, taken: ReadonlySet<string>): string {
  if (!taken.has(name)) return name;
  const [, stem, ending] = name.match(/^(.*?)(\.[^.]*)?$/s) ?? [name, name, ''];
  for (let number = 2; ; number++) {
    const candidate = `${stem}-${number}${ending ?? ''}`;
    if (!taken.has(candidate)) return candidate;
  }
}
