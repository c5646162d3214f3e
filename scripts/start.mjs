// npm start: set-up if needed, then the main job on the invented demo day, then the page.
import path from 'node:path';
import { root, runUntilStopped, setUp } from './runtime.mjs';
const node = setUp();
const argv = [path.join(root, 'bin', 'lapbench.mjs'), 'start', ...process.argv.slice(2)];
process.exitCode = await runUntilStopped(node, argv);
