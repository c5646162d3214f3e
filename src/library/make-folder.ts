import fs from 'node:fs';
import path from 'node:path';

/**
 * Makes a folder and the missing ones above it, one by one: Node's own recursive way never comes
 * back where the system refuses a new folder with "no such file" (under /proc, say).
 *
 * Throws the system's error where a folder cannot be made.
 */
export function makeFolder(folder: string): void {
  const missing: string[] = [];
  let at = path.resolve(folder);
  while (!fs.existsSync(at) && path.dirname(at) !== at) {
    missing.unshift(at);
    at = path.dirname(at);
  }
  for (const one of missing) {
    try {
      fs.mkdirSync(one);
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
    }
  }
}
