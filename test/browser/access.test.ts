/** Every screen in light and dark, wide and narrow, against axe-core's rules (WCAG 2.2 A and AA). */
import test from 'node:test';
import assert from 'node:assert/strict';
import axe from 'axe-core';
import type { Page } from 'playwright-core';
import { openAt, openBench } from './harness.ts';
import type { Bench } from './harness.ts';

let bench: Bench;
let demo = '';
let waiting = '';
let howl = '';

/** The invented howl of the demo, once it was listened to. */
async function demoSound(): Promise<string> {
  await fetch(`${bench.url}api/demo`);
  for (;;) {
    const { sounds } = (await (await fetch(`${bench.url}api/sounds`)).json()) as {
      sounds: { id: string; kind: string; state: string }[];
    };
    const found = sounds.find(({ kind, state }) => kind === 'noise' && state === 'ready');
    if (found) return found.id;
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
}

let mistaken = '';
const onBench: Record<string, string> = {};
test.before(async () => {
  bench = await openBench();
  demo = await bench.demoId();
  waiting = await bench.makeDay('Runs wait for a setup', 2);
  await fetch(`${bench.url}api/demo`);
  const { items } = (await (await fetch(`${bench.url}api/bench`)).json()) as {
    items: { id: string; kind: string }[];
  };
  for (const { id, kind } of items) onBench[kind] = id;
  const input = 'remount,position_deg,direction,load_n,deflection_mm\n1,0,load,thirty,0.9\n';
  mistaken = bench.makeItem({ kind: 'stiffness', title: 'Mistaken', input });
  howl = await demoSound();
});
test.after(async () => {
  await bench?.close();
});

const screens: { name: string; hash: () => string; ready: string }[] = [
  { name: 'days', hash: () => '', ready: '.day-list' },
  { name: 'finding', hash: () => `#/day/${demo}`, ready: '.pane-finding .figure-drawing' },
  { name: 'runs', hash: () => `#/day/${demo}/runs`, ready: 'details[open] .laps' },
  { name: 'setups', hash: () => `#/day/${demo}/setups`, ready: '.setups' },
  { name: 'checks', hash: () => `#/day/${demo}/checks`, ready: '.checks' },
  { name: 'a day without a finding', hash: () => `#/day/${waiting}/runs`, ready: '.run-waiting' },
  { name: 'bench', hash: () => '#/bench', ready: '.item-group' },
  ...['stiffness', 'tension', 'wheel'].map((kind) => ({
    name: `${kind} on the bench`,
    hash: () => `#/bench/${onBench[kind]}`,
    ready: `.bench-${kind} .figure-drawing`,
  })),
  { name: 'mistaken readings', hash: () => `#/bench/${mistaken}`, ready: '.bench .line-list' },
  { name: 'sounds', hash: () => '#/listen', ready: '.day-list' },
  { name: 'a howl', hash: () => `#/listen/${howl}`, ready: '.curves .figure-drawing' },
];
const sizes = [
  { width: 1440, height: 900 },
  { width: 390, height: 844 },
];

interface Violation {
  id: string;
  nodes: { target: string[]; failureSummary: string }[];
}

async function violations(page: Page): Promise<string[]> {
  await page.evaluate(axe.source);
  const found = (await page.evaluate(
    `axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa', 'best-practice'] }).then((r) => r.violations)`,
  )) as Violation[];
  return found.map(
    ({ id, nodes }) => `${id}: ${nodes[0].target.join(' ')}: ${nodes[0].failureSummary}`,
  );
}

for (const { name, hash, ready } of screens) {
  test(`${name}: no barrier in light or dark, wide or narrow, and nothing to scroll sideways`, async () => {
    const page = await openAt(bench, hash());
    for (const size of sizes) {
      await page.setViewportSize(size);
      await page.locator(ready).first().waitFor();
      for (const colorScheme of ['light', 'dark'] as const) {
        await page.emulateMedia({ colorScheme });
        const place = `${size.width} ${colorScheme}`;
        assert.deepEqual(await violations(page), [], place);
      }
      const width = await page.evaluate('document.documentElement.scrollWidth');
      assert.ok(Number(width) <= size.width, `${String(width)} px wide at ${size.width}`);
    }
    await page.close();
  });
}

test('at 320 pixels, a page enlarged four times, nothing scrolls sideways', async () => {
  for (const { name, hash, ready } of screens) {
    const page = await openAt(bench, hash(), { width: 320, height: 640 });
    await page.locator(ready).first().waitFor();
    const width = Number(await page.evaluate('document.documentElement.scrollWidth'));
    assert.ok(width <= 320, `${name} is ${width} px wide`);
    await page.close();
  }
});

test('everything to press is at least 48 pixels high on a phone', async () => {
  for (const { hash, ready } of screens) {
    const page = await openAt(bench, hash(), sizes[1]);
    await page.locator(ready).first().waitFor();
    const small =
      (await page.evaluate(`[...document.querySelectorAll('button, a, select, summary, input')]
      .filter((e) => e.offsetParent !== null && !e.closest('.unseen, .skip') && !e.classList.contains('skip'))
      .map((e) => ['radio', 'checkbox'].includes(e.type) ? e.closest('label') : e)
      .filter((e) => e.getBoundingClientRect().height < 47.5)
      .map((e) => e.outerHTML.slice(0, 120))`)) as string[];
    assert.deepEqual(small, []);
    await page.close();
  }
});
