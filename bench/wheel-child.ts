/** Solves one load of the wheel of 32 spokes, once, in a fresh process, and prints the milliseconds it took. */
import { solveLoad } from '../src/core/structure/index.ts';
import { benchLoad, benchWheel } from './wheel-case.ts';

const startedMs = performance.now();
solveLoad(benchWheel, benchLoad);
process.stdout.write(`${performance.now() - startedMs}\n`);
