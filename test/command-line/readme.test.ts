/** The commands that README.md and CONTRIBUTING.md show are run, so that they stay true. */
import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import test from 'node:test';
import { readDaySheet } from '../../src/sheets/index.ts';
import { folderFor, lapbench } from './terminal.ts';

const root = path.resolve(import.meta.dirname, '../..');
const read = (name: string): string => fs.readFileSync(path.join(root, name), 'utf8');

function blocks(text: string, language: string): string[] {
  const pattern = new RegExp(`^\`\`\`${language}\\n(.*?)^\`\`\``, 'gms');
  return [...text.matchAll(pattern)].map((match) => match[1]);
}

test('the lapbench commands of the README do what they say, one after the other', async (t) => {
  const lines = blocks(read('README.md'), 'sh').join('\n').split('\n');
  const commands = lines.filter((line) => line.startsWith('npx lapbench '));
  assert.ok(commands.length >= 8, 'the README shows the commands');
  const cwd = folderFor(t);
  for (const command of commands) {
    const said = await lapbench(cwd, ...command.split(' ').slice(2));
    assert.equal(said.code, 0, `${command}: ${said.err}`);
    assert.equal(said.err, '', command);
    assert.ok(said.out.length > 0, command);
  }
});

test('the day sheet of the README is sound', () => {
  const [sheet] = blocks(read('README.md'), 'yaml');
  const { day, warnings } = readDaySheet(sheet, 'day.yaml');
  assert.equal(day.runs.length, 2);
  assert.deepEqual(warnings, []);
});

test('every npm command of README and CONTRIBUTING is in package.json, and the other way round', () => {
  const { scripts } = JSON.parse(read('package.json')) as { scripts: Record<string, string> };
  const text = read('README.md') + read('CONTRIBUTING.md');
  const shown = new Set(
    [...text.matchAll(/npm (?:run )?([a-z][a-z:-]*)/g)]
      .map((match) => match[1])
      .filter((name) => !['run', 'ci'].includes(name)),
  );
  assert.deepEqual(
    [...shown].filter((name) => !(name in scripts)),
    [],
  );
  assert.deepEqual(
    Object.keys(scripts).filter((name) => !shown.has(name)),
    [],
  );
});
