import type { Sounds } from '../../src/application/index.ts';

/** For tests of the days alone: whoever touches the sounds fails. */
export const noSounds = new Proxy({} as Sounds, {
  get(_, name) {
    throw new Error(`the sounds are not part of this test (${String(name)})`);
  },
});
