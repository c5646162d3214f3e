import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import path from 'node:path';
import test from 'node:test';
import type { BenchSummary, DaySummary, DayView } from '../../src/application/index.ts';
import { folderFor, lapbench } from './terminal.ts';

const program = path.resolve(import.meta.dirname, '../../bin/lapbench.mjs');

test('start prints the ranking of the invented demo day and where its page is, and keeps the day', async (t) => {
  const cwd = folderFor(t);
  const said = await lapbench(cwd, 'start', '--port', '0', '--no-open');
  assert.equal(said.code, 0, said.err);
  assert.match(said.out, /INVENTED DATA/);
  assert.match(said.out, /Drag area, lowest first/);
  assert.match(said.out, /Difference to Shallow pair/);
  assert.match(said.out, /http:\/\/127\.0\.0\.1:\d+\/#\/day\/\w+/);
  const days = JSON.parse((await lapbench(cwd, 'days', '--json')).out) as { days: DaySummary[] };
  assert.deepEqual(
    days.days.map((day) => [day.state, day.invented]),
    [['kept', true]],
  );
  const again = await lapbench(cwd, 'start', '--port', '0', '--no-open');
  assert.equal(again.code, 0);
  const after = JSON.parse((await lapbench(cwd, 'days', '--json')).out) as { days: DaySummary[] };
  assert.equal(after.days.length, 1, 'the demo day is made once');
});

test('serve says where the page is, answers there, and ends on Ctrl-C', async (t) => {
  const cwd = folderFor(t);
  const argv = [program, 'serve', '--port', '0', '--library', 'served.lapbench'];
  const child = spawn(process.execPath, argv, { cwd, stdio: ['ignore', 'pipe', 'pipe'] });
  const ended = new Promise<number | null>((resolve) => child.on('close', resolve));
  try {
    const url = await new Promise<string>((resolve, reject) => {
      let out = '';
      child.stdout.on('data', (part: Buffer) => {
        out += part.toString();
        const found = out.match(/http:\/\/\S+/);
        if (found) resolve(found[0]);
      });
      child.on('close', () => reject(new Error(`ended early: ${out}`)));
    });
    const { id } = (await (await fetch(`${url}api/demo`)).json()) as { id: string };
    const view = (await (await fetch(`${url}api/days/${id}`)).json()) as DayView;
    assert.equal(view.recordings.length, 9);
    assert.equal(view.finding?.differences.length, 2);
    const bench = (await (await fetch(`${url}api/bench`)).json()) as { items: BenchSummary[] };
    // The wheel of the demo's howl follows when its sounds are made, soon or not yet.
    const ofTheDay = bench.items.filter(({ title }) => !title.startsWith('Front wheel that howls'));
    assert.equal(ofTheDay.length, 6, 'the bench of the demo day');
  } finally {
    child.kill('SIGINT');
  }
  assert.equal(await ended, 0);
});

test('an address that is in use, or not ours, is refused in words', async (t) => {
  const cwd = folderFor(t);
  const said = await lapbench(cwd, 'serve', '--host', '203.0.113.7', '--port', '0');
  assert.deepEqual([said.code, said.out], [2, '']);
  assert.match(said.err, /cannot listen on 203\.0\.113\.7/);
});
