import assert from 'node:assert/strict';
import { test } from 'node:test';
import fc from 'fast-check';
import { LapbenchError } from '../../src/core/units/index.ts';
import {
  daySheetData,
  editDaySheet,
  readDaySheet,
  sheetLimits,
  writeDaySheet,
} from '../../src/sheets/index.ts';
import type { DaySheet, SheetEdit } from '../../src/sheets/index.ts';
import { exampleSheet, problemsOf } from './example.ts';

const seed = 20260517;

/** Reads; whatever comes must be a day or problems that a person can act on. */
function readsOrRefuses(text: string): void {
  try {
    const { day } = readDaySheet(text, 'day.yaml');
    assert.ok(day.runs.length > 0 && Number.isFinite(day.system.massKg));
  } catch (error) {
    if (!(error instanceof LapbenchError)) throw error;
    assert.ok(error.problems.length > 0 && error.problems.length <= sheetLimits.problems + 1);
    for (const { message, place } of error.problems) {
      assert.ok(message.length > 0 && message.length < 700, message);
      assert.doesNotMatch(message, /[\u0000-\u001f]/);
      if (place?.line !== undefined)
        assert.ok(place.line >= 1 && place.line <= text.split(/\r\n|\r|\n/).length + 1);
    }
  }
}

test('random text is a day or a clear refusal, never a crash', () => {
  const yamlish = fc.array(
    fc.constantFrom(
      ...[
        'title',
        'runs',
        'setups',
        ':',
        ' ',
        '\n',
        '- ',
        '? ',
        '{',
        '}',
        '[',
        ']',
        ',',
        '"',
        "'",
        '&a',
        '*a',
        '|',
        '>',
        '#',
      ],
      ...[
        '!!str',
        '%YAML',
        '---',
        '\t',
        '0.5',
        'null',
        '<<',
        '__proto__',
        '\r\n',
        '\0',
        '\u2028',
        '\ud800',
        '~',
        'x',
      ],
    ),
    { maxLength: 60 },
  );
  fc.assert(
    fc.property(yamlish, (parts) => readsOrRefuses(parts.join(''))),
    { seed, numRuns: 500 },
  );
  fc.assert(fc.property(fc.string({ unit: 'binary', maxLength: 80 }), readsOrRefuses), {
    seed,
    numRuns: 500,
  });
});

test('a good sheet cut, doubled or struck by other characters is a day or a clear refusal', () => {
  const mutation = fc.record({
    at: fc.nat(exampleSheet.length),
    remove: fc.nat(12),
    insert: fc.oneof(
      fc.string({ maxLength: 6 }),
      fc.constantFrom('\n', ': ', '- ', '{', ']', '"', '&x ', '1e9', '-', '.nan'),
    ),
  });
  fc.assert(
    fc.property(fc.array(mutation, { minLength: 1, maxLength: 4 }), (mutations) => {
      let text = exampleSheet;
      for (const { at, remove, insert } of mutations)
        text = text.slice(0, at) + insert + text.slice(at + remove);
      readsOrRefuses(text);
    }),
    { seed, numRuns: 500 },
  );
});

test('any plain data in place of any value is a day or a clear refusal', () => {
  const places = [
    'title',
    'date',
    'system',
    'constants',
    'weather',
    'course',
    'setups',
    'control',
    'runs',
    'laps',
    'csv',
    'reference',
  ];
  fc.assert(
    fc.property(fc.constantFrom(...places), fc.jsonValue({ maxDepth: 3 }), (place, value) => {
      readsOrRefuses(JSON.stringify({ ...(daySheetData(exampleSheet) as object), [place]: value }));
    }),
    { seed, numRuns: 500 },
  );
});

test('any edits give a sheet that can be read as data, or a clear refusal', () => {
  const edit = fc.oneof(
    fc.record({
      op: fc.constant('set'),
      path: fc.constantFrom('title', 'system', 'runs.0.from', 'runs', 'course.gate.latDeg', 'x'),
      value: fc.jsonValue({ maxDepth: 3 }),
    }),
    fc.record({
      op: fc.constant('unset'),
      path: fc.constantFrom('title', 'runs', 'runs.0', 'setups.1.name', 'weather'),
    }),
    fc.record({
      op: fc.constantFrom('remove-run', 'set-run'),
      run: fc.integer({ min: -1, max: 3 }),
      setup: fc.constantFrom('control', 'deep', 'x', null),
    }),
    fc.record({
      op: fc.constantFrom('overrule-lap', 'clear-overrule'),
      run: fc.nat(3),
      lap: fc.nat(3),
      use: fc.boolean(),
      reason: fc.option(fc.string()),
    }),
    fc.record({
      op: fc.constant('add-run'),
      run: fc.record({ file: fc.string(), setup: fc.constantFrom('control', 'deep') }),
    }),
    fc.record({
      op: fc.constantFrom('remove-setup', 'set-control', 'rename-setup'),
      setup: fc.constantFrom('control', 'deep', 'x'),
      to: fc.string(),
    }),
  );
  fc.assert(
    fc.property(fc.array(edit, { maxLength: 5 }), (edits) => {
      let text: string;
      try {
        text = editDaySheet(exampleSheet, edits as SheetEdit[]);
      } catch (error) {
        if (!(error instanceof LapbenchError)) throw error;
        return;
      }
      assert.notEqual(daySheetData(text), null);
      readsOrRefuses(text);
    }),
    { seed, numRuns: 300 },
  );
});

test('whatever text stands in titles, names and remarks comes back from a written sheet unchanged', () => {
  const line = fc
    .string({ unit: 'grapheme', minLength: 1, maxLength: 40 })
    .filter((text) => !/[\p{Cc}\p{Zl}\p{Zp}]/u.test(text));
  fc.assert(
    fc.property(line, line, line, (title, name, remark) => {
      const data = daySheetData(exampleSheet) as DaySheet;
      data.title = title;
      data.setups[0].name = name;
      data.runs[0].remark = remark;
      const { day } = readDaySheet(writeDaySheet(data), 'day.yaml');
      assert.deepEqual([day.title, day.setups[0].name, day.runs[0].remark], [title, name, remark]);
    }),
    { seed, numRuns: 200 },
  );
});

test('text made to cost minutes or memory is refused within two seconds', () => {
  const full = (piece: string): string =>
    piece.repeat(Math.floor(sheetLimits.characters / piece.length));
  const laughs = ['a: &a [1,1,1,1,1,1,1,1,1]']
    .concat(
      [...'bcdefghi'].map(
        (key, i) => `${key}: &${key} [${Array(9).fill(`*${'abcdefgh'[i]}`).join(',')}]`,
      ),
    )
    .join('\n');
  const hostile = [
    ...[
      '[',
      '{a: ',
      '- ',
      '? ',
      '?\n ',
      ',',
      '"',
      ']',
      '---\n',
      '%a\n',
      '&a ',
      '*a ',
      '!!a ',
      '|\n',
      '\\',
      'a: 1\n',
      '\t',
      '\r',
      '# \n',
    ].map(full),
    `[${full(',').slice(2)}`,
    `a: "${full('\\q').slice(8)}"`,
    Array.from({ length: 700 }, (_, i) => `${' '.repeat(i)}a:`).join('\n'),
    Array.from({ length: 20_000 }, (_, i) => `k${i}: 1`).join('\n'),
    laughs,
    'a: &a [*a]',
    'a'.repeat(sheetLimits.characters + 1),
  ];
  for (const text of hostile) {
    const start = performance.now();
    assert.ok(problemsOf(text).length > 0);
    assert.ok(
      performance.now() - start < 2000,
      `${text.slice(0, 20)} took ${performance.now() - start} ms`,
    );
  }
});
