/** A terminal that writes down what it is told, and folders that vanish after the test. */
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import type { TestContext } from 'node:test';
import { main } from '../../src/command-line/main.ts';

export interface Said {
  code: number;
  out: string;
  err: string;
}

/** A folder of its own for one test. */
export function folderFor(t: TestContext, files: Record<string, string | Uint8Array> = {}): string {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'lapbench-cli-'));
  t.after(() => fs.rmSync(folder, { recursive: true, force: true }));
  for (const [name, content] of Object.entries(files)) {
    fs.mkdirSync(path.dirname(path.join(folder, name)), { recursive: true });
    fs.writeFileSync(path.join(folder, name), content);
  }
  return folder;
}

/** Runs `lapbench …` in a folder, in this process. Its library is in that folder too. */
export async function lapbench(cwd: string, ...argv: string[]): Promise<Said> {
  let out = '';
  let err = '';
  const code = await main(argv, {
    out: (text) => (out += text),
    err: (text) => (err += text),
    env: { LAPBENCH_LIBRARY: path.join(cwd, 'test.lapbench'), CI: '1' },
    cwd,
    stopped: async () => {},
  });
  return { code, out, err };
}
