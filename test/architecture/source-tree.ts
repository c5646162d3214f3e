/** The source tree as the architecture tests see it: files, what they import, where that lies. */
import fs from 'node:fs';
import path from 'node:path';
import typescript from 'typescript';

export const root = path.resolve(import.meta.dirname, '../..');

export interface Import {
  /** As written. */
  target: string;
  /** Path from the project folder where the target is a file of ours; null for packages. */
  file: string | null;
}

export interface SourceFile {
  /** From the project folder, with forward slashes. */
  file: string;
  text: string;
  lines: number;
  imports: Import[];
}

const slashes = (name: string): string => name.split(path.sep).join('/');

/** Every file under a folder of the project, by path from the project folder, in order. */
export function filesUnder(folder: string): string[] {
  return fs
    .readdirSync(path.join(root, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => slashes(path.relative(root, path.join(entry.parentPath, entry.name))))
    .sort();
}

export const read = (file: string): string => fs.readFileSync(path.join(root, file), 'utf8');

/**
 * What a source text imports: type imports, re-exports, `import('…')` as value or type included.
 * TypeScript's own scanner finds them, so words in comments and strings do not count.
 */
export function importsOf(file: string, text: string): Import[] {
  return typescript.preProcessFile(text, true, true).importedFiles.map(({ fileName: target }) => ({
    target,
    file: target.startsWith('.') ? slashes(path.join(path.dirname(file), target)) : null,
  }));
}

/** Every TypeScript file under `src/`. */
export const sources: SourceFile[] = filesUnder('src')
  .filter((file) => /\.tsx?$/.test(file))
  .map((file) => {
    const text = read(file);
    return { file, text, lines: text.split('\n').length - 1, imports: importsOf(file, text) };
  });
