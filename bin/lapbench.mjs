#!/usr/bin/env node
// Plain JavaScript on purpose: it must run on an old Node to say what is missing.
import module from 'node:module';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import v8 from 'node:v8';
import { programEntry } from '../scripts/build.mjs';
import { findNode, root, runUntilStopped } from '../scripts/runtime.mjs';

const node = findNode();
if (!node) {
  process.stderr.write(
    'lapbench needs Node 22.18 or later. Run "npm run setup" in its folder: it brings one.\n',
  );
  process.exitCode = 2;
} else if (node !== process.execPath) {
  const argv = [path.join(root, 'bin', 'lapbench.mjs'), ...process.argv.slice(2)];
  process.exitCode = await runUntilStopped(node, argv);
} else {
  // A command of a second is over before the last stage of optimising pays: a fifth less work without.
  if (['drag', 'keep'].includes(process.argv[2])) v8.setFlagsFromString('--no-opt');
  // Keeps room for what is soon let go from growing: an hour of sound then stays below 300 MB with its wheel.
  if (process.argv[2] === 'noise') v8.setFlagsFromString('--semi-space-growth-factor=1');
  // Saves much of the start: compiled code is kept from one call to the next.
  module.enableCompileCache(path.join(root, '.cache', 'compiled'));
  const { main } = await import(pathToFileURL(programEntry()).href);
  process.exitCode = await main(process.argv.slice(2));
}
