/** Plucking spoke by spoke and recording from the microphone, in a real browser against the real server. */
import test from 'node:test';
import assert from 'node:assert/strict';
import axe from 'axe-core';
import type { Page } from 'playwright-core';
import type { PluckSoundView, SoundSummary, SoundView } from '../../src/application/index.ts';
import { simulatePlucks, simulateWheel } from '../../src/simulation/sound/index.ts';
import { near } from '../near.ts';
import { openBench, until } from './harness.ts';
import type { Bench } from './harness.ts';
import { playTo, withMicrophone } from './microphone.ts';

const rate = 48_000;
const wheel = simulateWheel({ count: 12 }, 44);
/** Rings that fade within a second, so that the next pluck need not wait. */
const short = { qLow: 120, qHigh: 160 };
const lever = { massKg: 8, lengthM: 0.4 };

let bench: Bench;
test.before(async () => {
  bench = await openBench();
});
test.after(async () => {
  await bench?.close();
});

async function open(hash: string, prepare: (page: Page) => Promise<unknown>): Promise<Page> {
  const page = await bench.context.newPage();
  await page.setViewportSize({ width: 390, height: 844 });
  await prepare(page);
  await page.goto(`${bench.url}${hash}`);
  return page;
}

const ask = async <T>(path: string): Promise<T> =>
  (await (await fetch(`${bench.url}api/${path}`)).json()) as T;

/** One pluck under torque with half a second of quiet before it, and its pitch as it was made. */
function plucked(spoke: number, seed = spoke) {
  const { samples, truth } = simulatePlucks(
    { wheel, lever, order: [spoke], everyS: 1, ...short },
    seed,
  );
  const from = Math.round((truth.plucks[0].atS - 0.45) * rate);
  return { samples: samples.slice(from), hz: truth.plucks[0].partials[0].hz };
}

const heard = '.pluck-heard';
const saysOf = (spoke: number) =>
  `document.querySelector('${heard}')?.innerText.startsWith('Spoke ${spoke}:')`;
/** The last pluck has faded, as in the workshop before the next one. */
const quiet = `Number(document.querySelector('[role=meter]').ariaValueNow) < -52`;
const next = (spoke: number) =>
  `document.querySelector('.pluck-spoke b')?.innerText === '${spoke}'`;

async function pluck(page: Page, spoke: number, seed = spoke): Promise<number> {
  const { samples, hz } = plucked(spoke, seed);
  await until(page, quiet);
  await playTo(page, samples);
  await until(page, saysOf(spoke), 10_000);
  return hz;
}

async function violations(page: Page): Promise<string[]> {
  await page.evaluate(axe.source);
  const found = (await page.evaluate(
    `axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa', 'best-practice'] }).then((r) => r.violations)`,
  )) as { id: string; nodes: { target: string[]; failureSummary: string }[] }[];
  return found.map(
    ({ id, nodes }) => `${id}: ${nodes[0].target.join(' ')}: ${nodes[0].failureSummary}`,
  );
}

async function noBarrier(page: Page): Promise<void> {
  // Colours are the same at both widths, so each scheme is looked at once.
  for (const [width, colorScheme] of [
    [1440, 'dark'],
    [390, 'light'],
  ] as const) {
    await page.setViewportSize({ width, height: 844 });
    await page.emulateMedia({ colorScheme });
    assert.deepEqual(await violations(page), [], `${width} ${colorScheme}`);
    const across = await page.evaluate('document.documentElement.scrollWidth');
    assert.ok((across as number) <= width, `${across} pixels on a screen of ${width}`);
  }
  await page.setViewportSize({ width: 390, height: 844 });
}

test('where the microphone is refused, missing or out of reach, the page says so and what helps', async () => {
  const cases: [string, (page: Page) => Promise<unknown>, RegExp][] = [
    ['refused', (page) => withMicrophone(page, 'NotAllowedError'), /not allowed.*Allow the micro/s],
    ['missing', (page) => withMicrophone(page, 'NotFoundError'), /No microphone.*Plug one in/s],
    [
      'from the network',
      (page) =>
        page.addInitScript(`
          Object.defineProperty(window, 'isSecureContext', { value: false });
          Object.defineProperty(navigator, 'mediaDevices', { value: undefined });`),
      /localhost.*own recorder and choose that file/s,
    ],
  ];
  for (const [name, prepare, says] of cases) {
    const page = await open('#/plucks', prepare);
    await page.getByRole('button', { name: 'Start listening' }).click();
    const told = page.getByRole('list', { name: 'Why it did not start' });
    await told.waitFor();
    assert.match(await told.innerText(), says, name);
    await page.close();
  }
});

let stored: PluckSoundView;

test('spoke by spoke under torque: heard, tapped, done again, reloaded in the middle, stored with its spokes', async () => {
  const page = await open('#/plucks', withMicrophone);
  await page.getByLabel('Number of spokes').fill('12');
  await page.getByRole('radio', { name: 'Brake locked, weight on a lever' }).check({ force: true });
  await page.getByLabel('Mass of the weight').fill('8');
  await page.getByLabel('Length of the lever').fill('0,4');
  await page.locator('.pluck-torque', { hasText: '31.4' }).waitFor();
  await page.getByRole('list', { name: 'Cautions' }).waitFor();
  await noBarrier(page);
  await page.getByRole('button', { name: 'Start listening' }).click();
  await page.getByRole('meter').waitFor();
  const wanted = await page.evaluate('window.wantedOfMicrophone');
  const { echoCancellation, noiseSuppression, autoGainControl } = wanted as Record<string, unknown>;
  assert.deepEqual([echoCancellation, noiseSuppression, autoGainControl], [false, false, false]);

  const truth = new Map<number, number>();
  truth.set(1, await pluck(page, 1));
  await until(page, next(2));
  await pluck(page, 2);

  const { samples, truth: taps } = simulatePlucks(
    { wheel, order: [1], everyS: 4, taps: 1, ...short },
    3,
  );
  await until(page, quiet);
  const tapAt = Math.round(taps.others[0].atS * rate);
  await playTo(page, samples.slice(tapAt - rate / 2, tapAt + rate));
  await until(page, `document.querySelector('${heard}').innerText.startsWith('A tap')`);
  assert.ok(await page.evaluate(next(3)), 'a tap does not count');

  truth.set(3, await pluck(page, 3));
  await page.getByRole('button', { name: 'Pluck spoke 3 again' }).waitFor();
  await page.getByRole('button', { name: /^Spoke 2, right: \d+ hertz/ }).click();
  await until(page, next(2));
  truth.set(2, await pluck(page, 2, 22));
  await until(page, next(4));

  // Keys work where the session has the focus.
  await page.keyboard.press('s');
  await until(page, next(5));
  await page.keyboard.press('u');
  await until(page, next(4));
  await noBarrier(page);

  await page.reload();
  await page.getByRole('button', { name: 'Go on listening' }).click();
  await page.getByRole('meter').waitFor();
  assert.ok(await page.evaluate(next(4)), 'a reload loses nothing');
  truth.set(4, await pluck(page, 4));
  await page.getByRole('button', { name: 'Stop here and store 4' }).click();
  const link = page.getByRole('link', { name: 'See what was heard' });
  const address = await link.getAttribute('href');
  assert.equal(await page.evaluate('window.microphoneIsOpen()'), false, 'it listens no longer');

  stored = await ask<PluckSoundView>(`sounds/${address!.split('/').pop()}`);
  assert.deepEqual(stored.options.lever, lever);
  assert.deepEqual(stored.options.spokes, [1, 3, 2, 4], 'in the order plucked');
  const { heard: strokes } = stored.finding!;
  const used = strokes.filter((one) => one.used);
  assert.deepEqual(
    used.map(({ spoke }) => spoke),
    [1, 3, 2, 4],
  );
  // The first pluck of spoke 2, and whatever a busy machine put in as a click.
  const out = strokes.filter(({ pluck: n }) => stored.options.leaveOut.includes(n));
  assert.equal(out.length, strokes.length - 4);
  assert.ok(out.some((one) => one.atS > used[0].atS && one.atS < used[1].atS));
  for (const { spoke, hz } of used)
    near(hz!, truth.get(spoke!)!, { rel: 0.003, why: 'five cents, of a second of ring' });

  // Forgotten in the browser once the server has it.
  await page.goto('about:blank');
  await page.goto(`${bench.url}#/plucks`);
  await page.getByRole('button', { name: 'Start listening' }).waitFor();
  await page.close();
});

test('stored plucks: one put on another spoke, one left out and taken back, and the tables say so', async () => {
  const page = await open(`#/listen/${stored.id}`, async () => {});
  const used = stored.finding!.heard.filter((one) => one.used);
  const [first, second] = used.map((one) => one.pluck);
  await page.locator('.pluck-table').waitFor();
  assert.match(await page.locator('.plucks-part h2').first().innerText(), /pitch of 4 spokes/i);
  const spoke = page.getByLabel(`Spoke of stroke ${first}`, { exact: true });
  await spoke.fill('9');
  await spoke.press('Enter');
  await page.getByText(`Stroke ${first} is spoke 9.`).first().waitFor();
  const counts = page.getByRole('switch', { name: `Stroke ${second} counts`, exact: true });
  await counts.click();
  await page.getByText(`Stroke ${second} is left out.`).first().waitFor();
  assert.equal(await counts.getAttribute('aria-checked'), 'false');
  const laid = async () => {
    const { finding } = await ask<PluckSoundView>(`sounds/${stored.id}`);
    return used.map(({ pluck: n }) => finding!.heard[n - 1].spoke);
  };
  assert.deepEqual(await laid(), [9, null, 2, 4]);
  await page.getByRole('button', { name: 'Undo' }).last().click();
  await until(page, `document.querySelectorAll('.pluck-table [aria-checked=true]').length === 4`);
  assert.deepEqual(await laid(), [9, 3, 2, 4]);
  await page.locator('.pluck-levels .figure-drawing').waitFor();
  await noBarrier(page);
  await page.close();
});

test('a ride recorded from the microphone outlives a reload and is stored with its clock', async () => {
  const page = await open('#/listen', withMicrophone);
  await page.getByRole('button', { name: 'Record from the microphone' }).click();
  await page.getByRole('meter').waitFor();
  const howl = Float32Array.from(
    { length: 2 * rate },
    (_, i) => 0.1 * Math.sin((2 * Math.PI * 700 * i) / rate),
  );
  await playTo(page, howl);
  await until(page, `document.querySelector('.record-time').innerText >= '0:02'`);
  await page.getByRole('button', { name: 'Stop recording' }).click();
  await page.getByRole('button', { name: 'Store it' }).waitFor();
  await page.reload();
  await page.getByRole('button', { name: 'Store it' }).click();
  await page.getByRole('button', { name: 'Open it' }).first().waitFor();
  const { sounds } = await ask<{ sounds: SoundSummary[] }>('sounds');
  const summary = sounds.find(({ kind }) => kind === 'noise');
  const path = `sounds/${summary!.id}`;
  let view = await ask<SoundView>(path);
  while (view.state === 'waiting' || view.state === 'analysing') view = await ask<SoundView>(path);
  assert.equal(view.format!.sampleRateHz, rate);
  assert.equal(view.format!.startClock, 'local');
  assert.ok(view.format!.lengthSamples! >= 2 * rate, 'all of it');
  await page.close();
});

test('nothing went wrong unseen, and nothing was asked for elsewhere', () => {
  assert.deepEqual(bench.faults, []);
  assert.deepEqual(bench.strayed, []);
});
