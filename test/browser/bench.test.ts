import test from 'node:test';
import assert from 'node:assert/strict';
import type { Page } from 'playwright-core';
import { dropFiles, openAt, openBench, until } from './harness.ts';
import type { Bench } from './harness.ts';

/** One server and one browser for all; every test has a tab and an item of its own. */
let bench: Bench;
test.before(async () => {
  bench = await openBench();
});
test.after(async () => {
  await bench?.close();
});

const phone = { width: 390, height: 844 };
const head = 'remount,position_deg,direction,load_n,deflection_mm\n';
const up = [0, 30, 79, 128, 177, 226];

/** The dial of an invented bench: 0.3 mm of slop below 20 N, then 50 N/mm. */
const dial = (loadN: number): string => (0.3 * Math.min(1, loadN / 20) + loadN / 50).toFixed(2);

/** Remounts of the invented bench, each a little stiffer than the one before; loads in newtons times `unit`. */
function madeReadings(remounts: number, unit = 1): string {
  const rows = Array.from({ length: remounts }, (_, r) => {
    const row = (direction: string, loadN: number) =>
      `${r + 1},0,${direction},${Number((loadN * unit).toFixed(3))},${(Number(dial(loadN)) - r * loadN * 2e-4).toFixed(2)}`;
    const loads = up.map((loadN) => row('load', loadN));
    return [
      ...loads,
      ...up
        .slice(0, -1)
        .toReversed()
        .map((loadN) => row('unload', loadN)),
    ];
  });
  return `${head}${rows.flat().join('\n')}\n`;
}

const stiffness = (title: string, input?: string): string =>
  `#/bench/${bench.makeItem({ kind: 'stiffness', title, ...(input === undefined ? {} : { input }) })}`;

const result = (page: Page) => page.getByText(/^Lateral stiffness [\d.]+/);
const reading = (page: Page) => page.locator('#entry-deflection_mm');
const saved = (page: Page) => page.locator('.save-state').getByText('Saved', { exact: true });
const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);

/** Presses the keys of the pad for a number, then saves. */
async function enter(page: Page, text: string): Promise<void> {
  for (const key of text)
    await page.locator('.keys').getByRole('button', { name: key, exact: true }).click();
  await page.getByRole('button', { name: 'Save reading' }).click();
}

test('an empty bench teaches the job and offers invented wheels', async () => {
  const page = await openAt(bench, '#/bench', phone);
  await page.getByRole('heading', { name: /How stiff is this wheel/ }).waitFor();
  await page.getByRole('button', { name: 'Open the demo' }).waitFor();
  await page.getByRole('link', { name: 'Test days' }).click();
  await page.getByRole('heading', { name: 'Test days' }).waitFor();
  await page.close();
});

test('with gloves on a phone: step by step from no load to a result, then the next mounting', async () => {
  const page = await openAt(bench, '#/bench', phone);
  await page.getByRole('button', { name: /^New: stiffness readings/ }).click();
  const note = page.locator('.entry-note');
  await note.getByText('No load: set the dial to zero.').waitFor();
  const save = await page.getByRole('button', { name: 'Save reading' }).boundingBox();
  assert.ok(save && save.y + save.height <= phone.height, 'saving needs no scrolling');
  const small = (await page.evaluate(
    `[...document.querySelectorAll('.entry button, .entry input')].filter((e) => e.getBoundingClientRect().height < 56).map((e) => e.outerHTML)`,
  )) as string[];
  assert.deepEqual(small, []);
  await page.getByRole('button', { name: 'Save reading' }).click();
  for (let at = 2; at <= 11; at++) {
    await page.getByRole('heading', { name: `Reading ${at}`, exact: true }).waitFor();
    const said = await note.innerText();
    const loadN = /Take all load off/.test(said) ? 0 : Number(/([\d.]+)\sN/.exec(said)?.[1]);
    assert.ok(Number.isFinite(loadN), said);
    await enter(page, loadN === 0 ? '0' : dial(loadN));
  }
  await note.getByText('Remount 1 at 0° is done. What comes next?').waitFor();
  await saved(page).waitFor();
  assert.match(await result(page).innerText(), /^Lateral stiffness (49\.\d|50\.\d|50)\s?/);
  await page.getByRole('img', { name: /^Load and deflection/ }).waitFor();
  await page.getByText(/The wheel was mounted once/).waitFor();
  await page.getByText(/^Stay below the maker’s limits for rim and spokes/).waitFor();
  await page.getByRole('button', { name: /^Mount it afresh: remount 2/ }).click();
  await note.getByText(/^Take the wheel out and mount it afresh/).waitFor();
  await page.close();
});

test('undo takes the last reading back into the fields, skip passes a step over', async () => {
  const page = await openAt(
    bench,
    stiffness('Undo and skip', `${head}1,0,load,0,0\n1,0,load,30,9\n`),
  );
  const undo = page.getByRole('button', { name: 'Undo the last reading' });
  await undo.click();
  await until(page, `document.getElementById('entry-deflection_mm').value === '9'`);
  await page.getByRole('button', { name: 'Delete' }).click();
  await enter(page, '0.9');
  await page.getByRole('heading', { name: 'Reading 3' }).waitFor();
  await page.getByText('Load up to 79').waitFor();
  await page.getByRole('button', { name: 'Skip' }).click();
  await page.getByText('Load up to 128.1').waitFor();
  await reading(page).fill('2,86');
  await reading(page).press('Enter');
  await page.getByRole('heading', { name: 'Reading 4' }).waitFor();
  await page.getByRole('button', { name: /^Change reading 3: 2\.86 mm at 128\.1 N/ }).waitFor();
  await page.close();
});

test('a reload loses nothing: readings, what is half typed, an old reading that is open', async () => {
  const page = await openAt(bench, stiffness('Reloaded'), phone);
  await page.getByRole('button', { name: 'Save reading' }).click();
  await page.getByRole('heading', { name: 'Reading 2' }).waitFor();
  await page.locator('.key', { hasText: /^7$/ }).click();
  await saved(page).waitFor();
  await page.reload();
  await page.getByRole('heading', { name: 'Reading 2' }).waitFor();
  assert.equal(await reading(page).inputValue(), '7');
  await page.getByRole('button', { name: /^Change reading 1:/ }).click();
  await page.getByLabel('Position').fill('45');
  await page.reload();
  await page.getByRole('heading', { name: 'Change reading 1' }).waitFor();
  assert.equal(await page.getByLabel('Position').inputValue(), '45');
  await page.getByRole('button', { name: 'Leave it' }).click();
  assert.equal(await reading(page).inputValue(), '7', 'the next one is still there');
  await page.close();
});

test('an old reading is changed with the keyboard alone, and taken out with a way back', async () => {
  const page = await openAt(bench, stiffness('Changed', madeReadings(2)));
  const old = page.getByRole('button', { name: /^Change reading 15: [\d.]+ mm at 128 N/ });
  await old.focus();
  await page.keyboard.press('Enter');
  await until(page, `document.activeElement?.id === 'entry-deflection_mm'`);
  await page.keyboard.type('2.9');
  await page.keyboard.press('Enter');
  await page.getByRole('heading', { name: 'Reading 23' }).waitFor();
  await until(page, `document.activeElement?.id === 'entry-deflection_mm'`);
  await page.getByRole('button', { name: 'Change reading 15: 2.9 mm at 128 N' }).click();
  await page.getByRole('button', { name: 'Take it out' }).click();
  await page.getByText('Reading 15 is taken out.').waitFor();
  await page.getByRole('heading', { name: 'Reading 22' }).waitFor();
  await page.locator('.notice').last().getByRole('button', { name: 'Undo' }).click();
  await page.getByRole('heading', { name: 'Reading 23' }).waitFor();
  await page.close();
});

test('a server that is away: readings stay in the browser and are saved when it answers', async () => {
  const page = await openAt(bench, stiffness('Server away'), phone);
  await page.getByRole('heading', { name: 'Reading 1' }).waitFor();
  await page.route('**/api/bench/*', (route) =>
    route.request().method() === 'PATCH' ? route.abort() : route.continue(),
  );
  await page.getByRole('button', { name: 'Save reading' }).click();
  await page.getByText(/Kept in this browser, not saved yet/).waitFor();
  await enter(page, '0.9');
  await page.getByRole('heading', { name: 'Reading 3' }).waitFor();
  await page.unroute('**/api/bench/*');
  await page.reload();
  await saved(page).waitFor();
  await page.getByRole('heading', { name: 'Reading 3' }).waitFor();
  await page.close();
});

test('readings entered in two windows are all kept', async () => {
  const hash = stiffness('Two windows');
  const first = await openAt(bench, hash);
  const second = await openAt(bench, hash);
  for (const page of [first, second])
    await page.getByRole('heading', { name: 'Reading 1' }).waitFor();
  // A tab behind another one is drawn seldom, and the pad waits for that.
  await first.bringToFront();
  await enter(first, '0.01');
  await saved(first).waitFor();
  await second.bringToFront();
  await enter(second, '0.02');
  await second.getByRole('heading', { name: 'Reading 3' }).waitFor();
  await second.getByRole('button', { name: /^Change reading 1: 0\.01 mm/ }).waitFor();
  await second.getByRole('button', { name: /^Change reading 2: 0\.02 mm/ }).waitFor();
  await first.close();
  await second.close();
});

test('dropped files make items, a wrong one is told and the rest goes on', async () => {
  const page = await openAt(bench, '#/bench');
  await page.getByRole('heading', { name: 'Bench' }).waitFor();
  await dropFiles(page, [
    { file: 'front_wheel.csv', bytes: bytes(madeReadings(3)) },
    { file: 'shopping.csv', bytes: bytes('milk,bread\n2,1\n') },
    { file: 'photo.csv', bytes: Uint8Array.from([255, 216, 0, 0, 255, 0]) },
    { file: 'rear tensions.csv', bytes: bytes('spoke,side,reading\n1,left,900\n2,right,1100\n') },
  ]);
  await page.getByText('2 items made.').waitFor();
  const wrong = page.getByRole('list', { name: 'Files that were not usable' });
  assert.match(await wrong.innerText(), /shopping\.csv[^]*begins with "milk", "bread"/);
  assert.match(await wrong.innerText(), /photo\.csv[^]*not text/);
  await page.getByRole('link', { name: /^rear tensions/ }).waitFor();
  await page.getByRole('link', { name: /^front wheel/ }).click();
  await page.getByRole('heading', { name: 'Reading 34' }).waitFor();
  assert.match(await result(page).innerText(), /5\d\.\d/);
  // Here only readings of this kind fit; anything else leaves them as they are.
  await dropFiles(page, [{ file: 'more.csv', bytes: bytes('spoke,side,reading\n1,left,9\n') }]);
  await page.getByText(/more\.csv holds something else \(spoke tensions\)/).waitFor();
  await dropFiles(page, [{ file: 'one.csv', bytes: bytes(madeReadings(1)) }]);
  await page.getByText(/^one\.csv is in place of what was here/).waitFor();
  await page.getByRole('heading', { name: 'Reading 12' }).waitFor();
  await page.locator('.notice').last().getByRole('button', { name: 'Undo' }).click();
  await page.getByRole('heading', { name: 'Reading 34' }).waitFor();
  await page.close();
});

test('kilograms entered as newtons are asked about and converted at a press', async () => {
  const page = await openAt(bench, stiffness('Kilograms', madeReadings(3, 1 / 9.80665)));
  await page.getByText(/so they look like kilograms/).waitFor();
  assert.equal(await page.getByText('--load-unit').count(), 0, 'no word of the command');
  await page.getByRole('button', { name: 'They are kilograms' }).click();
  // The invented bench has 50, 50.5 and 51 N/mm, whichever unit its loads are written in.
  assert.match(await result(page).innerText(), /^Lateral stiffness 50\.\d/);
  assert.equal(await page.getByLabel('Loads are written in').inputValue(), 'kg');
  await page.locator('.notice').getByRole('button', { name: 'Undo' }).click();
  await page.getByText(/so they look like kilograms/).waitFor();
  await page.close();
});

test('swapped columns are exchanged, a knocked dial is told with its reading', async () => {
  const swapped = madeReadings(3).replace('load_n,deflection_mm', 'deflection_mm,load_n');
  const page = await openAt(bench, stiffness('Swapped', swapped));
  await page.getByRole('button', { name: 'Exchange the two columns' }).click();
  await result(page).waitFor();
  const rows = madeReadings(3).split('\n');
  const knocked = rows.map((row, i) =>
    i >= 16 && i <= 22 ? row.replace(/[\d.]+$/, (mm) => (Number(mm) - 1.6).toFixed(2)) : row,
  );
  await page.goto(`${bench.url}${stiffness('Knocked', knocked.join('\n'))}`);
  const out = page.getByRole('list', { name: 'Series left out' });
  assert.match(await out.innerText(), /Remount 2 at 0°: the dial falls from .* reset or knocked/);
  await out.getByRole('button', { name: /^Open the reading of line 17/ }).click();
  await page.getByRole('heading', { name: 'Change reading 16' }).waitFor();
  await page.getByRole('button', { name: 'Leave it' }).click();
  await out.getByRole('button', { name: 'Take out remount 2 at 0°' }).click();
  await page.getByRole('heading', { name: 'Reading 23' }).waitFor();
  await until(page, `!document.body.innerText.includes('Left out')`);
  await page.close();
});

test('items are searched, put together by kind, removed with a way back and restored', async () => {
  bench.makeItem({ kind: 'wheel', title: 'Quarry wheel', setup: 'Deep pair' });
  const page = await openAt(bench, '#/bench');
  await page.getByRole('heading', { name: 'Setup Deep pair' }).waitFor();
  await page.getByLabel('Put together by').selectOption('kind');
  await page.getByRole('heading', { name: 'Wheel sheet' }).waitFor();
  await page.getByLabel('Search the bench').fill('quarry');
  await page.getByText(/^1 of \d+$/).waitFor();
  await page.getByRole('button', { name: 'Remove "Quarry wheel"' }).click();
  await page.getByRole('button', { name: 'Undo' }).click();
  await page.getByText('"Quarry wheel" is back.').waitFor();
  await page.getByRole('button', { name: 'Remove "Quarry wheel"' }).click();
  await page.getByText(/^0 of \d+$/).waitFor();
  await page.getByText('Removed from the bench').click();
  await page.getByRole('button', { name: 'Restore "Quarry wheel"' }).click();
  await page.getByRole('link', { name: /^Quarry wheel/ }).waitFor();
  await page.close();
});

test('the curve is handed out as a picture file with its words', async () => {
  const page = await openAt(bench, stiffness('Curve: front', madeReadings(3)));
  const coming = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Save the curve as SVG' }).click();
  const download = await coming;
  assert.equal(download.suggestedFilename(), 'Curve front.svg');
  const parts: Buffer[] = [];
  for await (const part of await download.createReadStream()) parts.push(part as Buffer);
  const svg = Buffer.concat(parts).toString('utf8');
  assert.match(svg, /^<svg[^]*aria-label="Load and deflection\. 33 readings up to 226 N/);
  assert.ok(!svg.includes('var(--'), 'colours that stand without the page');
  await page.close();
});

test('the bench asks nothing of any other machine, and its console is clean', () => {
  assert.deepEqual(bench.strayed, []);
  assert.deepEqual(bench.faults, []);
});
