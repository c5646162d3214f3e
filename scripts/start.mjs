// npm start: set-up if needed, then the main job on the invented demo day, then the page.
import { run, setUp } from './runtime.mjs';
const node = setUp();
process.exit(run(node, ['bin/lapbench.mjs', 'start', ...process.argv.slice(2)]));
