import type { Context } from 'hono';

/** The `If-Match` of a request as the guard of a write; none, or `*`, guards nothing. */
export function ifChangedAt(c: Context): { ifChangedAt?: string } {
  const given = c.req.header('if-match')?.replace(/^(W\/)?"(.*)"$/, '$2');
  return given === undefined || given === '*' ? {} : { ifChangedAt: given };
}
