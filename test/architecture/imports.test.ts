/** Which file may import which: the rule of tools/layers.js, held against every import there is. */
import assert from 'node:assert/strict';
import test from 'node:test';
import { layerOf, layers, mayImport } from '../../tools/layers.js';
import { filesUnder, importsOf, read, sources } from './source-tree.ts';

const layerOfFile = (file: string): string => layerOf(`/${file}`) ?? '';

/** Faces that nothing inside `src/` imports; each is entered at one file from outside. */
const entered = new Map([
  ['command-line', 'src/command-line/main.ts'], // by bin/lapbench.mjs
  ['page', 'src/page/main.tsx'], // by src/page/index.html
]);

/** Files other than an index that another layer may import, and why. */
const openDoors = new Map([
  [
    'src/application/contract.ts',
    'types alone: the page takes the shapes of the HTTP interface without the use cases behind them',
  ],
]);

/** Node's own modules belong to the edges. */
const layersOnNode = new Set(['application', 'command-line', 'library', 'server']);

/** Which layer may use which package. A package has one layer, so that it can be exchanged there. */
const packagesOf: Record<string, string[]> = {
  'core/statistics': ['@stdlib/'],
  'core/signal': ['fft.js'],
  recordings: ['fit-file-parser', '@markw65/fit-file-writer', 'saxes', 'papaparse'],
  sound: ['@audio/'],
  sheets: ['yaml', 'zod'],
  figures: ['@observablehq/plot'],
  server: ['hono', '@hono/node-server', 'zod'],
  'command-line': ['commander'],
  page: ['preact', 'uplot'],
};

test('imports run in the direction of the layer map, type imports included', () => {
  const wrong: string[] = [];
  for (const { file, imports } of sources) {
    const from = layerOfFile(file);
    assert.ok(from in layers, `${file} lies in no layer of tools/layers.js`);
    for (const { file: target } of imports) {
      if (target === null) continue;
      if (!target.startsWith('src/')) wrong.push(`${file} reaches out of src/: ${target}`);
      else if (!mayImport(from, layerOfFile(target), `/${target}`))
        wrong.push(`${file} imports ${target}`);
    }
  }
  assert.deepEqual(wrong, []);
});

test('a layer is entered through its public face alone', () => {
  const past: string[] = [];
  for (const { file, imports } of sources) {
    for (const { file: target } of imports) {
      if (target === null || !target.startsWith('src/')) continue;
      const to = layerOfFile(target);
      if (to === layerOfFile(file) || target === `src/${to}/index.ts`) continue;
      if (!openDoors.has(target)) past.push(`${file} imports ${target}`);
    }
  }
  assert.deepEqual(past, []);
});

test('every layer has a face and a page that says what it is', () => {
  const files = new Set(filesUnder('src'));
  for (const layer of Object.keys(layers)) {
    const face = entered.get(layer) ?? `src/${layer}/index.ts`;
    assert.ok(files.has(face), `${layer} has no ${face}`);
    assert.ok(files.has(`src/${layer}/README.md`), `${layer} has no README.md`);
  }
});

test('an open door is used, and hands out types alone', () => {
  for (const door of openDoors.keys()) {
    const source = sources.find(({ file }) => file === door);
    assert.ok(source, `${door} is gone`);
    assert.doesNotMatch(source.text, /^export (?!type|interface)/m, `${door} exports values`);
    assert.doesNotMatch(source.text, /^import (?!type)/m, `${door} imports values`);
    assert.ok(
      sources.some(
        ({ file, imports }) =>
          layerOfFile(file) !== layerOfFile(door) &&
          imports.some(({ file: target }) => target === door),
      ),
      `nobody needs ${door}`,
    );
  }
});

test('no file imports itself round a corner', () => {
  const graph = new Map(
    sources.map(({ file, imports }) => [
      file,
      imports.flatMap(({ file: target }) => (target === null ? [] : [target])),
    ]),
  );
  assert.deepEqual(cyclesOf(graph), []);
});

test('the search for cycles finds one that runs through three files', () => {
  const graph = new Map([
    ['a', ['b']],
    ['b', ['c', 'd']],
    ['c', ['a']],
    ['d', []],
  ]);
  assert.deepEqual(cyclesOf(graph), ['a → b → c → a']);
});

test('each package is used by the layers it was taken for; Node by the edges alone', () => {
  const wrong: string[] = [];
  for (const { file, imports } of sources) {
    const layer = layerOfFile(file);
    for (const { target, file: own } of imports) {
      if (own !== null) continue;
      const allowed = target.startsWith('node:')
        ? layersOnNode.has(layer)
        : packagesOf[layer]?.some((name) =>
            name.endsWith('/')
              ? target.startsWith(name)
              : target === name || target.startsWith(`${name}/`),
          );
      if (!allowed) wrong.push(`${file} imports ${target}`);
    }
  }
  assert.deepEqual(wrong, []);
});

test('the table of layers in ARCHITECTURE.md has every layer, in order, with its packages', () => {
  const rows = [...read('ARCHITECTURE.md').matchAll(/^\| \[`([\w/-]+)`\].*\| ([^|]+?) +\|$/gm)];
  assert.deepEqual(
    rows.map(([, layer]) => layer),
    Object.keys(layers),
  );
  for (const [, layer, cell] of rows) {
    const named = cell
      .split(', ')
      .filter((name) => !['none', 'Node', 'node:sqlite'].includes(name));
    const used = (packagesOf[layer] ?? []).map((name) => name.replace(/\/$/, ''));
    assert.deepEqual(named.sort(), used.sort(), layer);
  }
});

test('core and generator have no clock, no chance and no world of their own', () => {
  // The compiler's configuration keeps Node and DOM types out; this keeps out what every engine has.
  // A date made from a given number is no clock: new Date(…) with an argument is let through.
  const world =
    /\b(process\.|globalThis\b|fetch\(|Date\.now|new Date\(\)|Math\.random|performance\.)/;
  const reaching = sources
    .filter(({ file }) => /^(core\/|simulation$)/.test(layerOfFile(file)))
    .filter(({ text }) => world.test(text))
    .map(({ file }) => file);
  assert.deepEqual(reaching, []);
});

test('the generator of invented days takes nothing from the estimate but units', () => {
  const borrowed = sources
    .filter(({ file }) => layerOfFile(file) === 'simulation')
    .flatMap(({ file, imports }) =>
      imports
        .filter((one) => one.file !== null && !one.file.startsWith('src/simulation/'))
        .map((one) => ({ file, target: one.file })),
    )
    .filter(({ target }) => target !== 'src/core/units/index.ts');
  assert.deepEqual(borrowed, []);
});

test('type imports, re-exports and late imports all count, words in comments do not', () => {
  const text = `
    // import x from './comment.ts'
    import type { A } from './a.ts';
    export * from './b.ts';
    export type { C } from './c.ts';
    const later = await import('./d.ts');
    type E = import('./e.ts').E;
    const words = "import y from './string.ts'";
  `;
  assert.deepEqual(
    importsOf('src/x/y.ts', text)
      .map(({ file }) => file)
      .sort(),
    ['src/x/a.ts', 'src/x/b.ts', 'src/x/c.ts', 'src/x/d.ts', 'src/x/e.ts'],
  );
});

/** Cycles of a graph of imports, each once, told from its first file on. */
function cyclesOf(graph: Map<string, string[]>): string[] {
  const done = new Set<string>();
  const path: string[] = [];
  const found: string[] = [];
  const visit = (file: string): void => {
    const at = path.indexOf(file);
    if (at >= 0) {
      found.push([...path.slice(at), file].join(' → '));
      return;
    }
    if (done.has(file)) return;
    path.push(file);
    for (const next of graph.get(file) ?? []) visit(next);
    path.pop();
    done.add(file);
  };
  for (const file of graph.keys()) visit(file);
  return found;
}
