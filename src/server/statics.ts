/** The built page, from a folder; nothing outside that folder. */
import fs from 'node:fs/promises';
import path from 'node:path';
import type { Context } from 'hono';

const types: Record<string, string> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.ico': 'image/x-icon',
  '.json': 'application/json',
  '.webmanifest': 'application/manifest+json',
  '.woff2': 'font/woff2',
  '.map': 'application/json',
};

/** Answers a page file, or null when there is none. Paths without a file ending get the page itself. */
export async function pageFile(c: Context, folder: string): Promise<Response | null> {
  const wanted = decodePath(c.req.path);
  if (wanted === null) return null;
  const name = path.extname(wanted) === '' ? '/index.html' : wanted;
  const base = path.resolve(folder);
  const location = path.join(base, path.normalize(name));
  if (!location.startsWith(base + path.sep)) return null;
  const type = types[path.extname(location)];
  if (!type) return null;
  try {
    const body = await fs.readFile(location);
    // Built files carry their hash in the name; the page itself must always be fresh.
    const fresh = location.includes(`${path.sep}assets${path.sep}`);
    return c.body(new Uint8Array(body), 200, {
      'Content-Type': type,
      'Cache-Control': fresh ? 'public, max-age=31536000, immutable' : 'no-cache',
    });
  } catch {
    return null;
  }
}

function decodePath(raw: string): string | null {
  try {
    const decoded = decodeURIComponent(raw);
    return decoded.includes('\0') ? null : decoded;
  } catch {
    return null;
  }
}
