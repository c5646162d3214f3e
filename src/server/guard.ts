/**
 * Who may talk to the server. On loopback: only pages served by it (a foreign site must reach it
 * neither by a rebound name nor by a form). Beyond loopback: only who holds the token.
 */
import { createHash, timingSafeEqual } from 'node:crypto';
import type { Context, MiddlewareHandler } from 'hono';
import { getCookie, setCookie } from 'hono/cookie';
import type { Problem } from '../application/index.ts';

const cookieName = 'lapbench-token';

/** Whether an address to listen on can be reached from this computer only. */
export function isLoopback(host: string): boolean {
  const name = host.replace(/^\[(.*)\]$/, '$1');
  return name === '::1' || name === 'localhost' || /^127(\.\d{1,3}){3}$/.test(name);
}

/** Answers a refusal. */
export function refuse(
  c: Context,
  status: 400 | 401 | 403 | 404 | 409 | 412 | 413 | 500,
  ...problems: Problem[]
): Response {
  return c.json({ problems }, status);
}

/**
 * Refuses requests that name another host than the one served (DNS rebinding). When the server is
 * reached from outside, names cannot be known beforehand and the token does the guarding.
 */
export function hostGuard(loopback: boolean): MiddlewareHandler {
  return async (c, next) => {
    const host = (c.req.header('host') ?? new URL(c.req.url).host).toLowerCase();
    const name = host.replace(/:\d+$/, '');
    if (loopback && !isLoopback(name)) {
      return refuse(c, 403, {
        code: 'usage',
        message: `This server does not answer to the name ${JSON.stringify(name.slice(0, 80))}.`,
        remedy: 'Open it as http://127.0.0.1 with its port.',
      });
    }
    return next();
  };
}

/** Refuses writes that a page from elsewhere sends (its `Origin`, or `Sec-Fetch-Site`, gives it away). */
export function originGuard(): MiddlewareHandler {
  return async (c, next) => {
    if (c.req.method === 'GET' || c.req.method === 'HEAD') return next();
    const origin = c.req.header('origin');
    const host = c.req.header('host') ?? new URL(c.req.url).host;
    const site = c.req.header('sec-fetch-site');
    const foreignOrigin = origin !== undefined && hostOf(origin) !== host.toLowerCase();
    const foreignSite = site !== undefined && site !== 'same-origin' && site !== 'none';
    if (!foreignOrigin && !foreignSite) return next();
    return refuse(c, 403, {
      code: 'usage',
      message: 'The request comes from a page of another site.',
      remedy: 'Use the page that Lapbench itself serves.',
    });
  };
}

/**
 * Asks for the token as `Authorization: Bearer …`, as a cookie, or once as `?token=…` on a page
 * address, which sets the cookie and leads to the address without it.
 */
export function tokenGuard(token: string): MiddlewareHandler {
  return async (c, next) => {
    const bearer = c.req.header('authorization')?.match(/^Bearer (.+)$/)?.[1];
    if (same(bearer, token) || same(getCookie(c, cookieName), token)) return next();
    const url = new URL(c.req.url);
    if (c.req.method === 'GET' && same(url.searchParams.get('token') ?? undefined, token)) {
      setCookie(c, cookieName, token, { httpOnly: true, sameSite: 'Strict', path: '/' });
      url.searchParams.delete('token');
      return c.redirect(`${url.pathname}${url.search}`);
    }
    return refuse(c, 401, {
      code: 'usage',
      message: 'The token is missing or wrong.',
      remedy: 'Open the address with the token that the server printed when it started.',
    });
  };
}

/** Compared by hash, so that neither length nor timing says anything about the token. */
function same(given: string | undefined, token: string): boolean {
  if (given === undefined) return false;
  const digest = (text: string): Buffer => createHash('sha256').update(text).digest();
  return timingSafeEqual(digest(given), digest(token));
}

function hostOf(origin: string): string | null {
  try {
    return new URL(origin).host;
  } catch {
    return null;
  }
}
