import type { Bench } from '../../src/application/index.ts';

/** For tests of the days alone: whoever touches the bench fails. */
export const noBench = new Proxy({} as Bench, {
  get(_, name) {
    throw new Error(`the bench is not part of this test (${String(name)})`);
  },
});
