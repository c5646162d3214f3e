import assert from 'node:assert/strict';
import test from 'node:test';
import fc from 'fast-check';
import { LapbenchError } from '../../src/core/units/index.ts';
import { freeName, plainFileName } from '../../src/application/file-name.ts';

test('a path is reduced to its last part, on every system', () => {
  assert.equal(plainFileName('../../etc/passwd'), 'passwd');
  assert.equal(plainFileName('C:\\rides\\run-1.fit'), 'run-1.fit');
  assert.equal(plainFileName('/run 2.csv'), 'run 2.csv');
});

test('a name keeps its letters and its ending, but no control or direction characters', () => {
  assert.equal(plainFileName('Längstal-1.fit'), 'Längstal-1.fit');
  assert.equal(plainFileName('run\u202Etif.exe\u0000.fit'), 'runtif.exe.fit');
  assert.equal(plainFileName('a:b?.fit'), 'a-b-.fit');
  const long = plainFileName(`${'x'.repeat(500)}.fit`);
  assert.equal(long.length, 120);
  assert.match(long, /x\.fit$/);
});

test('what leaves no name is refused', () => {
  for (const given of ['', '..', '/', 'a/', '...', '\u0007']) {
    assert.throws(() => plainFileName(given), LapbenchError, JSON.stringify(given));
  }
});

const letters = fc.oneof(
  fc.constantFrom('/', '\\', '.', ' ', ':', '\0', '\n', '\u202e', '\u2028', 'é', '😀', '\ud800'),
  fc.string({ maxLength: 3 }),
);

test('any text gives a harmless name or a refusal, and a harmless name stays as it is', () => {
  fc.assert(
    fc.property(fc.array(letters, { maxLength: 300 }), (parts) => {
      const given = parts.join('');
      let name: string;
      try {
        name = plainFileName(given);
      } catch (error) {
        return error instanceof LapbenchError;
      }
      assert.doesNotMatch(name, /[/\\\p{Cc}<>:"|?*]|^\.|^$/u);
      assert.equal(plainFileName(name), name);
      return true;
    }),
    { seed: 2026, numRuns: 300 },
  );
});

test('a name that is taken gets a number before its ending', () => {
  assert.equal(freeName('run.fit', new Set()), 'run.fit');
  assert.equal(freeName('run.fit', new Set(['run.fit', 'run-2.fit'])), 'run-3.fit');
  assert.equal(freeName('run', new Set(['run'])), 'run-2');
});
