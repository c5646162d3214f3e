#!/usr/bin/env node
// Plain JavaScript on purpose: it must run on an old Node to say what is missing.
import { spawnSync } from 'node:child_process';
import module from 'node:module';
import path from 'node:path';
import { findNode, root } from '../scripts/runtime.mjs';

const node = findNode();
if (!node) {
  process.stderr.write(
    'lapbench needs Node 22.18 or later. Run "npm run setup" in its folder: it brings one.\n',
  );
  process.exit(2);
} else if (node !== process.execPath) {
  const child = spawnSync(node, [`${root}/bin/lapbench.mjs`, ...process.argv.slice(2)], {
    stdio: 'inherit',
  });
  process.exit(child.status ?? 1);
} else {
  // Halves the start: stripped and compiled sources are kept from one call to the next.
  module.enableCompileCache(path.join(root, '.cache', 'compiled'));
  const { main } = await import('../src/command-line/main.ts');
  process.exitCode = await main(process.argv.slice(2));
}
