import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { format } from 'prettier';
import {
  dayJsonSchema,
  dayJsonSchemaText,
  daySheetReference,
  readDaySheet,
} from '../../src/sheets/index.ts';

interface Node {
  description?: string;
  default?: unknown;
  properties?: Record<string, Node>;
  required?: string[];
  items?: Node;
  additionalProperties?: boolean;
  type?: string;
}

function* nodes(node: Node, at = ''): Generator<[string, Node]> {
  yield [at, node];
  for (const [key, child] of Object.entries(node.properties ?? {}))
    yield* nodes(child, `${at}.${key}`);
  if (node.items) yield* nodes(node.items, `${at}[]`);
}

test('the published JSON Schema is in step with the check (else: node scripts/schemas.mjs)', () => {
  const published = path.resolve(import.meta.dirname, '../../schemas/day.schema.json');
  assert.equal(fs.readFileSync(published, 'utf8'), dayJsonSchemaText());
});

test('the page on the day sheet is in step with the check, and its example is a sound sheet', async () => {
  const page = fs.readFileSync(
    path.resolve(import.meta.dirname, '../../docs/day-sheet.md'),
    'utf8',
  );
  assert.equal(
    page,
    await format(daySheetReference(), { parser: 'markdown', printWidth: 100, singleQuote: true }),
  );
  const example = /```yaml\n(.*?)```/s.exec(page)?.[1] ?? '';
  assert.deepEqual(readDaySheet(example, 'day.yaml').warnings, []);
});

test('the JSON Schema asks for title, date, system, setups and runs, and knows no other keys than its own', () => {
  const schema = dayJsonSchema() as Node;
  assert.deepEqual(schema.required, ['title', 'date', 'system', 'setups', 'runs']);
  for (const [at, node] of nodes(schema)) {
    if (node.type === 'object') assert.equal(node.additionalProperties, false, at);
  }
});

test('every key is described, and every default that is a number says where it comes from', () => {
  for (const [at, node] of nodes(dayJsonSchema() as Node)) {
    assert.ok(node.description, `${at} has no description`);
    if (typeof node.default === 'number' && node.default !== 0) {
      assert.match(node.description, new RegExp(`Default ${node.default}\\b`), at);
      assert.match(node.description, /common practice, no source|from memory/, at);
    }
  }
});
