import assert from 'node:assert/strict';
import test from 'node:test';
import { fold, textTable } from '../../src/application/text-table.ts';

test('numbers line up on the right, words on the left, and no line ends in blanks', () => {
  const text = textTable(
    [{ title: 'setup' }, { title: 'watts', align: 'right' }],
    [
      ['Deep', '-4.3'],
      ['Längstal', '12.0'],
    ],
  );
  assert.equal(text, '  setup     watts\n  Deep       -4.3\n  Längstal   12.0');
});

test('a paragraph is folded between words, and its further lines stand in', () => {
  assert.equal(fold('one two three', '  ', 9), '  one two\n    three');
  assert.equal(fold('unbreakable-word next', '', 8), 'unbreakable-word\n  next');
});
