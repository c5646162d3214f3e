import assert from 'node:assert/strict';

/**
 * Asserts that numbers agree. The tolerance is `abs + rel × |expected|`, at least one is required,
 * and `why` says where the tolerance comes from. NaN and arrays of unequal length never agree.
 */
export function near(
  actual: number | ArrayLike<number>,
  expected: number | ArrayLike<number>,
  { rel = 0, abs = 0, why }: { rel?: number; abs?: number; why: string },
): void {
  assert.ok(rel > 0 || abs > 0, 'near() needs rel or abs above zero');
  assert.ok(why.trim().length > 0, 'near() needs a reason for its tolerance');
  const a = typeof actual === 'number' ? [actual] : Array.from(actual);
  const e = typeof expected === 'number' ? [expected] : Array.from(expected);
  assert.equal(a.length, e.length, `${a.length} values, expected ${e.length}`);
  a.forEach((value, i) => {
    const allowed = abs + rel * Math.abs(e[i]);
    const off = Math.abs(value - e[i]);
    assert.ok(
      off <= allowed,
      `${a.length > 1 ? `[${i}] ` : ''}${value} is ${off} from ${e[i]}, allowed ${allowed} (${why})`,
    );
  });
}
