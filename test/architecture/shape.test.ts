/** The shape of the tree: sizes of files, what a method folder holds, codes and words that are in use. */
import assert from 'node:assert/strict';
import fs from 'node:fs';
import path from 'node:path';
import test from 'node:test';
import { filesUnder, read, root, sources } from './source-tree.ts';

/** One idea a file. A file above this is split, or listed below with the reason why it stays whole. */
const mostLines = 400;
const longOnPurpose = new Map<string, string>([
  [
    'test/recordings/fit.test.ts',
    'one file for one reader: its cases share the small FIT writer at the top',
  ],
]);

/** Codes that no file under `src/` gives, and why they stay in the union. */
const codesInWaiting = new Map<string, string>();

/** Files that a document may name. */
const known = new Set([
  ...['docs', 'src', 'test', 'bench', 'tools', 'schemas', 'scripts'].flatMap(filesUnder),
  ...fs.readdirSync(root, { withFileTypes: true }).flatMap((one) => (one.isFile() ? one.name : [])),
]);
const folders = new Set([...known].map((file) => path.posix.dirname(file)));

test('no source or test file is longer than 400 lines', () => {
  const long = ['src', 'test', 'bench']
    .flatMap(filesUnder)
    .filter((file) => /\.(tsx?|css)$/.test(file) && !file.startsWith('test/fixtures/'))
    .map((file) => ({ file, lines: read(file).split('\n').length - 1 }))
    .filter(({ lines }) => lines > mostLines);
  assert.deepEqual(
    long.filter(({ file }) => !longOnPurpose.has(file)),
    [],
  );
  assert.deepEqual(
    [...longOnPurpose.keys()].filter((name) => !long.some(({ file }) => file === name)),
    [],
    'listed as long but short by now',
  );
});

test('a method reads the same everywhere: model.ts, estimate.ts, result.ts and a note', () => {
  const files = new Set(filesUnder('src/core/methods'));
  const notes = new Set(filesUnder('docs'));
  const methods = new Set(
    [...files].map((file) => file.split('/')[3]).filter((x) => !x.includes('.')),
  );
  assert.ok(methods.size > 0);
  for (const method of methods) {
    for (const part of ['model.ts', 'estimate.ts', 'result.ts', 'index.ts']) {
      assert.ok(files.has(`src/core/methods/${method}/${part}`), `${method} has no ${part}`);
    }
    assert.ok(notes.has(`docs/methods/${method}.md`), `${method} has no note in docs/methods`);
  }
});

test('every problem code is given by some file', () => {
  const union = /export type ProblemCode =([^;]+);/.exec(read('src/core/units/problem.ts'));
  const codes = [...(union?.[1] ?? '').matchAll(/'([a-z-]+)'/g)].map((match) => match[1]);
  assert.ok(codes.length > 30);
  const elsewhere = sources.filter(({ file }) => file !== 'src/core/units/problem.ts');
  const unused = codes.filter((code) => !elsewhere.some(({ text }) => text.includes(`'${code}'`)));
  assert.deepEqual(unused, [...codesInWaiting.keys()]);
});

test('nothing under src/ prints on its own', () => {
  const printing = sources.filter(({ text }) => /\bconsole\./.test(text)).map(({ file }) => file);
  assert.deepEqual(printing, []);
});

test('links in the documents lead to files that are there', () => {
  const dead = [...known]
    .filter((file) => file.endsWith('.md'))
    .flatMap((document) =>
      [...read(document).matchAll(/\]\(([^)#\s]+)(?:#[^)]*)?\)/g)]
        .map((match) => match[1])
        .filter((target) => !/^[a-z]+:/.test(target))
        .map((target) => path.posix.join(path.posix.dirname(document), target))
        .filter((target) => !known.has(target) && !folders.has(target.replace(/\/$/, '')))
        .map((target) => `${document} → ${target}`),
    );
  assert.deepEqual(dead, []);
});

test('files that a layer says it has are there', () => {
  const missing = filesUnder('src')
    .filter((file) => file.endsWith('README.md'))
    .flatMap((document) => {
      const folder = path.posix.dirname(document);
      return [...read(document).matchAll(/`([\w./-]+\.(?:tsx?|md|mjs|json))`/g)]
        .map((match) => match[1])
        .filter((name) => {
          // A bare name may stand anywhere below the layer, a path begins there, in src/ or at the top.
          if ([`${folder}/${name}`, `src/${name}`, name].some((file) => known.has(file)))
            return false;
          return ![...known].some(
            (file) => file.startsWith(`${folder}/`) && file.endsWith(`/${name}`),
          );
        })
        .map((name) => `${document} names ${name}`);
    });
  assert.deepEqual(missing, []);
});
