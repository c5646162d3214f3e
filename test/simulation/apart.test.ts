import { test } from 'node:test';
import assert from 'node:assert/strict';
import { readFileSync, readdirSync } from 'node:fs';

const folder = new URL('../../src/simulation/', import.meta.url);

test('the generator of invented days shares no code with the estimate but units', () => {
  const files = readdirSync(folder).filter((name) => name.endsWith('.ts'));
  assert.ok(files.length > 5);
  for (const file of files) {
    const text = readFileSync(new URL(file, folder), 'utf8');
    const targets = [...text.matchAll(/(?:from|import)\s*\(?\s*'([^']+)'/g)].map(
      (match) => match[1],
    );
    for (const target of targets) {
      const own = /^\.\/[a-z-]+\.ts$/.test(target);
      assert.ok(own || target === '../core/units/index.ts', `${file} imports ${target}`);
    }
    // The unit layer also holds constants of nature; the generator may not take physics by another name.
    assert.doesNotMatch(text, /core\/(physics|statistics|methods|evidence)/);
  }
});

test('the generator has no clock and no chance of its own', () => {
  for (const file of readdirSync(folder).filter((name) => name.endsWith('.ts'))) {
    const text = readFileSync(new URL(file, folder), 'utf8');
    assert.doesNotMatch(text, /Math\.random|Date\.now|performance\.now|new Date\(\)/, file);
  }
});
