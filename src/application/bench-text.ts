/** Texts from the bench: read from disk within bounds, and named in what a method says about them. */
import { LapbenchError, type Problem } from '../core/units/index.ts';
import { readFileBounded } from './edges.ts';

/** A table or sheet with the name that a person knows it by. */
export interface NamedText {
  text: string;
  file: string;
}

/** Reads a table or sheet; throws `LapbenchError` when it is missing, too large or not text. */
export function readBenchFile(location: string, name: string): NamedText {
  const bytes = readFileBounded(location, name);
  const refuse = (): never => {
    throw new LapbenchError({
      code: 'format-unknown',
      file: name,
      message: 'The file is not UTF-8 text.',
      remedy: 'Name the table or sheet itself, saved as UTF-8.',
    });
  };
  let text: string;
  try {
    text = new TextDecoder(encodingOf(bytes), { fatal: true }).decode(bytes);
  } catch {
    return refuse();
  }
  // Bytes of zero are allowed in UTF-8 and stand in no table: UTF-16 without its mark, or no text at all.
  return text.includes('\0') ? refuse() : { text, file: name };
}

/** Tables of calculation programs may be UTF-16, with a mark that says so. */
function encodingOf([first, second]: Uint8Array): string {
  if (first === 0xff && second === 0xfe) return 'utf-16le';
  return first === 0xfe && second === 0xff ? 'utf-16be' : 'utf-8';
}

/** A method knows lines, but not what the file is called: puts the name beside them. */
export function inFile<Finding extends { warnings: Problem[] }>(
  file: string,
  make: () => Finding,
): Finding {
  const named = (problem: Problem): Problem =>
    problem.file === undefined && problem.code !== 'usage' ? { ...problem, file } : problem;
  try {
    const finding = make();
    return { ...finding, warnings: finding.warnings.map(named) };
  } catch (error) {
    if (error instanceof LapbenchError) throw new LapbenchError(error.problems.map(named));
    throw error;
  }
}
