import { test } from 'node:test';
import assert from 'node:assert/strict';
import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';

const root = path.join(import.meta.dirname, '../../src');
const files = readdirSync(path.join(root, 'simulation'), { recursive: true })
  .map((name) => path.posix.join('simulation', String(name)))
  .filter((name) => name.endsWith('.ts'))
  .map((name) => ({ name, text: readFileSync(path.join(root, name), 'utf8') }));

test('the generator of invented days and sounds shares no code with the estimate but units', () => {
  assert.ok(files.length > 15);
  for (const { name, text } of files) {
    const targets = [...text.matchAll(/(?:from|import)\s*\(?\s*'([^']+)'/g)].map(
      (match) => match[1],
    );
    for (const target of targets) {
      const reached = path.posix.join(path.posix.dirname(name), target);
      const own = target.startsWith('.') && reached.startsWith('simulation/');
      assert.ok(own || reached === 'core/units/index.ts', `${name} imports ${target}`);
    }
    // The unit layer also holds constants of nature; the generator may not take physics by another name.
    assert.doesNotMatch(text, /\/core\/(physics|statistics|methods|evidence|structure|signal)/);
  }
});

test('the generator has no clock and no chance of its own', () => {
  for (const { name, text } of files) {
    assert.doesNotMatch(text, /Math\.random|Date\.now|performance\.now|new Date\(\)/, name);
  }
});
