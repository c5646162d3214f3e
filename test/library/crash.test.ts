import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import path from 'node:path';
import { test } from 'node:test';
import { openLibrary } from '../../src/library/index.ts';
import type { Library } from '../../src/library/index.ts';
import { edges, folderOf } from './sample.ts';

const writer = path.join(import.meta.dirname, 'writer.ts');

interface Ended {
  lines: string[];
  code: number | null;
  stderr: string;
}

/** Runs a writer; with `killAfterMs` it is killed that long after its first acknowledged step. */
function write(
  file: string,
  name: string,
  { steps, killAfterMs }: { steps?: number; killAfterMs?: number },
): Promise<Ended> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [writer, file, name, ...(steps ? [String(steps)] : [])], {
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    let stdout = '';
    let stderr = '';
    let armed = false;
    child.stdout.setEncoding('utf8').on('data', (text: string) => {
      stdout += text;
      if (killAfterMs !== undefined && !armed) {
        armed = true;
        setTimeout(() => child.kill('SIGKILL'), killAfterMs);
      }
    });
    child.stderr.setEncoding('utf8').on('data', (text: string) => (stderr += text));
    child.on('error', reject);
    // Whatever stands before the last line break was printed whole.
    child.on('close', (code) => resolve({ lines: stdout.split('\n').slice(0, -1), code, stderr }));
  });
}

/** What acknowledged lines promise, day by day: the latest title, and what came of it. */
function promises(
  lines: string[],
): Map<string, { title: string; finding: number | null; fate: string }> {
  const days = new Map<string, { title: string; finding: number | null; fate: string }>();
  for (const line of lines) {
    const [kind, id, ...rest] = line.split(' ');
    if (kind === 'day')
      days.set(id, {
        title: rest.join(' '),
        finding: days.get(id)?.finding ?? null,
        fate: 'listed',
      });
    else if (kind === 'bench') continue;
    else if (kind === 'finding') days.get(id)!.finding = Number(rest[0]);
    else if (kind !== 'open') days.get(id)!.fate = kind;
  }
  return days;
}

/**
 * Everything acknowledged is there. One step further may be too: it was committed, and the process
 * died before it could say so.
 */
function keeps(library: Library, lines: string[]): void {
  const days = promises(lines);
  const last = [...days.keys()].at(-1);
  keepsBenchItems(library, lines);
  for (const [id, promised] of days) {
    const day = library.getDay(id);
    if (
      promised.fate === 'purged' ||
      (day === null && id === last && promised.fate === 'removed')
    ) {
      assert.equal(day, null, `${id} was purged`);
      continue;
    }
    assert.ok(day, `${id} was acknowledged and is gone`);
    if (id !== last) assert.equal(day.title, promised.title);
    else
      assert.ok(
        day.title === promised.title || day.title === promised.title.replace('first', 'second'),
      );
    if (promised.finding !== null) {
      assert.deepEqual(library.currentFinding(id)?.result, {
        setups: [{ id: 'deep', cdaM2: promised.finding }],
      });
    }
    if (promised.fate === 'removed') assert.ok(day.removedAt);
    for (const { sha256 } of day.recordings) library.getRecordingBytes(sha256);
  }
}

/** The same for bench items: the title last acknowledged, or that of the step under way. */
function keepsBenchItems(library: Library, lines: string[]): void {
  const titles = new Map<string, string>();
  for (const line of lines) {
    const [kind, id, ...rest] = line.split(' ');
    if (kind === 'bench') titles.set(id, rest.join(' '));
  }
  for (const [id, title] of titles) {
    const item = library.benchItems.get(id);
    assert.ok(item, `${id} was acknowledged and is gone`);
    assert.ok(item.title === title || item.title === title.replace('first', 'second'));
  }
}

test('killed at any moment, thirty times over, the library opens clean and has all that was acknowledged', async (t) => {
  const file = path.join(folderOf(t), 'crash.lapbench');
  let steps = 0;
  // Three side by side use both cores; each kill falls somewhere else in a step.
  for (let round = 0; round < 10; round++) {
    const ended = await Promise.all(
      [0, 1, 2].map((i) =>
        write(file, `r${round}w${i}`, { killAfterMs: ((round * 3 + i) * 37) % 120 }),
      ),
    );
    for (const { lines, code, stderr } of ended) {
      assert.equal(code, null, `not killed but ended: ${stderr}`);
      assert.ok(lines.length > 0);
      steps += lines.length;
    }
    const library = openLibrary(file, edges());
    try {
      assert.deepEqual(library.verify().problems, []);
      for (const { lines } of ended) keeps(library, lines);
    } finally {
      library.close();
    }
  }
  assert.ok(steps > 60, `only ${steps} steps were acknowledged`);
});

test('two programs that make and write one library at once both get all of it in', async (t) => {
  const file = path.join(folderOf(t), 'shared.lapbench');
  const ended = await Promise.all(
    ['left', 'right'].map((name) => write(file, name, { steps: 12 })),
  );
  for (const { code, stderr } of ended) assert.equal(code, 0, stderr);
  const library = openLibrary(file, edges());
  t.after(() => library.close());
  assert.deepEqual(library.verify().problems, []);
  for (const { lines } of ended) keeps(library, lines);
  // 12 steps each, two of them purged.
  assert.equal(library.verify().days, 20);
});
