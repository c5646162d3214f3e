/** The real server over a library of its own, and a page in a real browser to try it with. */
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import type { BrowserContext, Page } from 'playwright-core';
import { demoDay, openLibraryDays } from '../../src/application/index.ts';
import type { NewBench } from '../../src/application/index.ts';
import { startServer } from '../../src/server/index.ts';
import { openBrowser } from './browser.ts';

export interface Bench {
  /** Address of the page, with a slash at its end. */
  url: string;
  context: BrowserContext;
  /** The recordings of the demo day, real FIT bytes. */
  files: { file: string; bytes: Uint8Array }[];
  /** Makes a day through the HTTP interface and answers its id. */
  makeDay: (title: string, runs?: number) => Promise<string>;
  demoId: () => Promise<string>;
  /** Makes a bench item and answers its id. */
  makeItem: (item: NewBench) => string;
  /** What went wrong in the page's console or on the server, since the start. */
  faults: string[];
  /** Addresses asked for outside the server. */
  strayed: string[];
  close: () => Promise<void>;
}

export async function openBench(): Promise<Bench> {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'lapbench-browser-'));
  const faults: string[] = [];
  const strayed: string[] = [];
  const library = await openLibraryDays(path.join(folder, 'test.lapbench'), {
    thread: true,
  });
  const { days, bench, sounds } = library;
  const server = await startServer({
    days,
    bench,
    sounds,
    host: '127.0.0.1',
    port: 0,
    onFault: (error) => faults.push(`server: ${String(error)}`),
  });
  const { context, close } = await openBrowser();
  context.setDefaultTimeout(40_000);
  context.on('console', (message) => {
    // A refusal that a test provokes is logged by the browser itself as a failed resource.
    if (message.type() === 'error' && !message.text().startsWith('Failed to load resource')) {
      faults.push(`page: ${message.text()}`);
    }
  });
  context.on('weberror', (error) => faults.push(`page: ${error.error().message}`));
  context.on('request', (request) => {
    const address = request.url();
    if (!address.startsWith(server.url) && !/^(data|blob|about):/.test(address))
      strayed.push(address);
  });
  const demo = await demoDay();
  return {
    url: server.url,
    context,
    files: demo.files,
    faults,
    strayed,
    demoId: () => days.demo(),
    makeItem: (item) => bench.create(item),
    async makeDay(title, runs = 0) {
      const id = days.create({ title, date: '2026-05-17' });
      for (const { file, bytes } of demo.files.slice(0, runs))
        await days.addRecording(id, file, bytes);
      return id;
    },
    async close() {
      await close();
      await server.close();
      await library.close();
      fs.rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** Opens an address of the page in a new tab. */
export async function openAt(
  bench: Bench,
  hash: string,
  size: { width: number; height: number } = { width: 1440, height: 900 },
): Promise<Page> {
  const page = await bench.context.newPage();
  await page.setViewportSize(size);
  await page.goto(`${bench.url}${hash}`);
  return page;
}

/** Waits until an expression holds in the page. (The browser driver's own wait needs eval, which the page forbids.) */
export async function until(page: Page, expression: string, forMs = 40_000): Promise<void> {
  const end = Date.now() + forMs;
  while (!(await page.evaluate(expression))) {
    if (Date.now() > end) throw new Error(`Not true within ${forMs} ms: ${expression}`);
    await page.waitForTimeout(40);
  }
}

/** Lets files fall on the page as a person dropping them would. */
export async function dropFiles(
  page: Page,
  files: readonly { file: string; bytes: Uint8Array }[],
): Promise<void> {
  const plain = files.map(({ file, bytes }) => ({
    file,
    base64: Buffer.from(bytes).toString('base64'),
  }));
  const transfer = await page.evaluateHandle(`(() => {
    const transfer = new DataTransfer();
    for (const { file, base64 } of ${JSON.stringify(plain)}) {
      const bytes = Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0));
      transfer.items.add(new File([bytes], file));
    }
    return transfer;
  })()`);
  // Listening begins a moment after the screen is drawn: what is let fall before that is lost.
  await until(
    page,
    `(() => {
      const dataTransfer = new DataTransfer();
      dataTransfer.items.add(new File(['x'], 'x'));
      const over = new DragEvent('dragover', { dataTransfer, bubbles: true, cancelable: true });
      document.querySelector('main')?.dispatchEvent(over);
      return over.defaultPrevented;
    })()`,
  );
  await page.dispatchEvent('main', 'drop', { dataTransfer: transfer });
}

/** For a file input: the bytes with a name. */
export const asInput = ({ file, bytes }: { file: string; bytes: Uint8Array }) => ({
  name: file,
  mimeType: 'application/octet-stream',
  buffer: Buffer.from(bytes),
});
