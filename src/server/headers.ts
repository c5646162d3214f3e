/** Headers on every answer: nothing on the page may come from, or be sent to, anywhere else. */
import type { MiddlewareHandler } from 'hono';

const policy = [
  "default-src 'self'",
  "script-src 'self'",
  // The chart libraries set sizes and positions through style attributes.
  "style-src 'self' 'unsafe-inline'",
  "img-src 'self' data: blob:",
  "connect-src 'self'",
  "font-src 'self'",
  "object-src 'none'",
  "base-uri 'none'",
  "form-action 'self'",
  "frame-ancestors 'none'",
].join('; ');

export function safeHeaders(): MiddlewareHandler {
  return async (c, next) => {
    await next();
    c.header('Content-Security-Policy', policy);
    c.header('X-Content-Type-Options', 'nosniff');
    c.header('Referrer-Policy', 'no-referrer');
    c.header('Cross-Origin-Resource-Policy', 'same-origin');
    c.header('Cross-Origin-Opener-Policy', 'same-origin');
    if (new URL(c.req.url).pathname.startsWith('/api/')) c.header('Cache-Control', 'no-store');
  };
}
