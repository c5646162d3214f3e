/** Wheel sheets and spoke tensions on the bench, in a real browser against the real server. */
import test from 'node:test';
import assert from 'node:assert/strict';
import type { Page } from 'playwright-core';
import { openAt, openBench, until } from './harness.ts';
import type { Bench } from './harness.ts';

let bench: Bench;
test.before(async () => {
  bench = await openBench();
});
test.after(async () => {
  await bench?.close();
});

const sheet = `# Laced on a wet Sunday
name: Deep front, 2:1
invented: true
rim: {radiusM: 0.290, materialEPa: 60e9, materialGPa: 6e9, areaM2: 180e-6, iRadialM4: 30e-9, iLateralM4: 8e-9, torsionM4: 12e-9}
hub: {flangeRadiusM: {left: 0.022, right: 0.019}, flangeOffsetM: {left: 0.026, right: 0.034}}
spokes:
  left:  {count: 16, cross: 2, materialEPa: 130e9, areaM2: 4.5e-6, densityKgM3: 1600, meanTensionN: 1100}
  right: {count: 8, cross: 0, materialEPa: 130e9, areaM2: 4.5e-6, densityKgM3: 1600} # from balance
`;

/** Left, right, left round the rim; spoke 7 much too tight, and the mean of each side where balance puts it. */
function readings(count = 24): string {
  const lines = Array.from({ length: count }, (_, i) => {
    const spoke = i + 1;
    const side = spoke % 3 === 2 ? 'right' : 'left';
    const meanN = side === 'left' ? 1100 : 1664;
    const share = spoke === 7 ? 1.32 : 1 + 0.02 * Math.sin(spoke * 2.1);
    return `${spoke},${side},${Math.round(meanN * share)}`;
  });
  return `${['spoke,side,reading', ...lines].join('\n')}\n`;
}

const sideways = (page: Page) => page.locator('.bench-result .sentence p').first();
const showAs = (page: Page, name: 'Main numbers' | 'Whole text') =>
  page.getByRole('radio', { name }).check({ force: true });
const text = (page: Page) => page.getByLabel('Wheel sheet, YAML');

test('a number changed in the form moves the stiffness and leaves every comment of the sheet', async () => {
  const id = bench.makeItem({ kind: 'wheel', title: 'By form', input: sheet });
  const page = await openAt(bench, `#/bench/${id}`);
  const before = await sideways(page).innerText();
  const field = page.getByLabel('Second moment against sideways bending');
  assert.equal(await field.inputValue(), '8000', 'mm⁴ in the form, m⁴ in the sheet');
  await field.fill('16000');
  await field.press('Enter');
  await until(
    page,
    `document.querySelector('.bench-result .sentence p').innerText !== ${JSON.stringify(before)}`,
  );
  await showAs(page, 'Whole text');
  assert.equal(
    await text(page).inputValue(),
    sheet.replace('iLateralM4: 8e-9', 'iLateralM4: 1.6e-8'),
  );
  await page.close();
});

test('a broken sheet says line and remedy, and the last good result stays, also over a reload', async () => {
  const id = bench.makeItem({ kind: 'wheel', title: 'By text', input: sheet });
  const page = await openAt(bench, `#/bench/${id}`);
  const good = await sideways(page).innerText();
  await showAs(page, 'Whole text');
  await text(page).fill(sheet.replace('radiusM: 0.290', 'radiusM: 290'));
  await page.getByRole('button', { name: 'Save the text' }).click();
  await page.getByRole('button', { name: 'line 4' }).waitFor();
  await page.getByRole('heading', { name: 'The sheet cannot be used as it stands' }).waitFor();
  const mistake = await page.getByRole('list', { name: 'Mistakes in the sheet' }).innerText();
  assert.match(mistake, /millimetres/);
  assert.match(mistake, /0\.29/, 'the remedy names the value meant');
  assert.equal(await sideways(page).innerText(), good);
  await page.reload();
  await page.getByRole('heading', { name: 'The sheet cannot be used as it stands' }).waitFor();
  assert.equal(await sideways(page).innerText(), good);
  await showAs(page, 'Main numbers');
  await page.locator('.wheel-form .field-wrong', { hasText: 'millimetres' }).waitFor();
  const radius = page.getByLabel('Radius to the centroid of its section');
  await radius.fill('290');
  await radius.press('Enter');
  await until(page, `!document.body.innerText.includes('cannot be used as it stands')`);
  assert.equal(await sideways(page).innerText(), good);
  await page.close();
});

const changeWords = (page: Page) =>
  page.getByRole('img', { name: /^Change of tension/ }).getAttribute('aria-label');

test('the load is moved by arrow keys and by dragging, and the changes of tension follow', async () => {
  const id = bench.makeItem({ kind: 'wheel', title: 'Under load', input: sheet });
  const page = await openAt(bench, `#/bench/${id}`);
  const handle = page.getByRole('slider', { name: 'Place of the load on the rim' });
  await handle.focus();
  assert.match((await handle.getAttribute('aria-valuetext')) ?? '', /^0°, spoke 1;/);
  const first = await changeWords(page);
  for (let i = 0; i < 4; i++) await page.keyboard.press('ArrowRight');
  await until(
    page,
    `document.activeElement.getAttribute('aria-valuetext').startsWith('30°, spoke 3')`,
  );
  const second = await changeWords(page);
  assert.match(second ?? '', /at 30°\. Spoke \d+ \(right\) gains most/);
  assert.notEqual(second, first);

  const box = (await handle.boundingBox())!;
  const from = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
  await page.mouse.move(from.x, from.y);
  await page.mouse.down();
  await page.mouse.move(from.x + 80, from.y + 250, { steps: 6 });
  await page.mouse.up();
  await until(
    page,
    `Number(document.querySelector('.load-handle').getAttribute('aria-valuenow')) > 80`,
  );

  await page.getByRole('radio', { name: 'Braking' }).check({ force: true });
  await page
    .getByText(/along the rim, as in braking/)
    .first()
    .waitFor();
  const most = page.getByLabel('Size of the load');
  await page.getByRole('radio', { name: 'Inwards' }).check({ force: true });
  await most.fill('2000');
  await page.getByRole('img', { name: /^Wheel under 2000 N towards the axle/ }).waitFor();
  const place = await handle.getAttribute('aria-valuenow');
  await page.reload();
  await handle.waitFor();
  assert.equal(await handle.getAttribute('aria-valuenow'), place, 'the load is where it was left');
  await page.close();
});

test('two wheels are compared term by term, and a bench reading is fitted and carried over', async () => {
  const other = bench.makeItem({
    kind: 'wheel',
    title: 'The other',
    input: sheet
      .replace('Deep front, 2:1', 'Stiffer rim')
      .replace('iLateralM4: 8e-9', 'iLateralM4: 12e-9'),
  });
  const rows = [0, 15, 30, 80, 130, 180, 226].map((load) => [
    load,
    Math.min(0.4, load / 50) + load / 95,
  ]);
  const series = [1, 2, 3].flatMap((remount) =>
    rows.map(([load, mm]) => `${remount},0,load,${load},${(mm * (1 + remount / 400)).toFixed(3)}`),
  );
  bench.makeItem({
    kind: 'stiffness',
    title: 'On the fixture',
    input: `${['remount,position_deg,direction,load_n,deflection_mm', ...series].join('\n')}\n`,
  });
  const id = bench.makeItem({ kind: 'wheel', title: 'Compared', input: sheet });
  const page = await openAt(bench, `#/bench/${id}`);
  await page.getByLabel('Another wheel').selectOption(other);
  const beside = page.getByRole('region', { name: 'Beside Stiffer rim' });
  await beside.getByText(/stiffer sideways/).waitFor();
  const terms = await beside.locator('tbody tr').allInnerTexts();
  assert.equal(terms.length, 1, 'one change, one term');
  assert.match(terms[0], /100\s*%/);
  await page
    .getByLabel('Take it from readings on the bench')
    .selectOption({ label: 'On the fixture' });
  const fitted = page.getByRole('region', { name: 'Rim fitted to the bench' });
  await fitted.getByText(/Stiffer rim, its rim changed alike/).waitFor();
  assert.match(await fitted.innerText(), /N\/mm \([\d.]+ to [\d.]+\)/, 'with the bench’s interval');
  await page.close();
});

test('readings one spoke a step lead to a plan whose steps are ticked and stay ticked', async () => {
  const wheel = bench.makeItem({ kind: 'wheel', title: 'Its sheet', input: sheet });
  const id = bench.makeItem({
    kind: 'tension',
    title: 'Spokes',
    input: readings(23),
    options: { wheel },
  });
  const page = await openAt(bench, `#/bench/${id}`, { width: 390, height: 844 });
  await page.getByText('Spoke 24, left').waitFor();
  await page.getByText('23 of 24 spokes are read.').waitFor();
  const keys = page.getByRole('group', { name: 'Keys for Tension' });
  for (const key of ['1', '0', '9', '0']) await keys.getByRole('button', { name: key }).click();
  await keys.getByRole('button', { name: 'Save reading' }).click();
  await page.getByText(/^1 of 24 spokes is not within/).waitFor();

  const plan = page.getByRole('region', { name: 'What to turn' });
  const steps = plan.getByRole('checkbox');
  const count = await steps.count();
  assert.ok(count > 0);
  assert.match(
    await plan.locator('.turn').first().innerText(),
    /Spoke \d+\s+(left|right)[\s\S]*(tighten|loosen)/,
  );
  await steps.first().check();
  await page.reload();
  await until(page, `document.querySelector('.turn input')?.checked === true`);
  for (let i = 1; i < count; i++) await steps.nth(i).check();
  await plan.getByText('All are turned. Now read every spoke again.').waitFor();
  await plan.getByRole('button', { name: 'Begin readings after turning' }).click();
  await page.getByRole('heading', { name: 'Spokes, after turning' }).waitFor();
  await page.getByText('Spoke 1, left').waitFor();
  await page.close();
});

test('one spoke is read again: its old readings go, and the way back is offered', async () => {
  const id = bench.makeItem({ kind: 'tension', title: 'Again', input: readings() });
  const page = await openAt(bench, `#/bench/${id}`);
  const seven = page.getByRole('button', { name: /^Spoke 7, left: read 1452, outside/ });
  await seven.click();
  await page.getByText('It was 1452 N.').waitFor();
  await page.keyboard.type('1105');
  await page.keyboard.press('Enter');
  await page.getByText(/^All 24 spokes are within/).waitFor();
  await page.getByRole('button', { name: /^Spoke 7, left: read 1105\./ }).waitFor();
  await page.getByRole('button', { name: 'Undo', exact: true }).last().click();
  await seven.waitFor();
  await page.close();
});

test('kilograms in place of newtons are asked about and set by one press', async () => {
  const input = readings().replace(/\d+$/gm, (n) => String(Math.round(Number(n) / 9.80665)));
  const id = bench.makeItem({ kind: 'tension', title: 'In kilograms', input });
  const page = await openAt(bench, `#/bench/${id}`);
  await page.getByText(/they look like kilograms-force/).waitFor();
  await page.getByRole('button', { name: 'They are kilograms-force' }).click();
  await page.getByText(/^1 of 24 spokes is not within/).waitFor();
  await page.close();
});

test('a gauge needs its table, entered row by row', async () => {
  const input = readings().replace(/\d+$/gm, (n) => String(Math.round(Number(n) / 50)));
  const id = bench.makeItem({ kind: 'tension', title: 'By gauge', input });
  const page = await openAt(bench, `#/bench/${id}`);
  await page.getByLabel('What is read').selectOption('gauge');
  await page
    .getByText(/without its table there is no tension/)
    .first()
    .waitFor();
  for (const [row, [reading, tension]] of [
    ['10', '500'],
    ['20', '1000'],
    ['40', '2000'],
  ].entries()) {
    await page.getByLabel(`Reading of row ${row + 1}`, { exact: true }).fill(reading);
    await page.getByLabel(`Tension in N of row ${row + 1}`, { exact: true }).fill(tension);
  }
  await page.getByLabel('Reading of row 1', { exact: true }).focus();
  await page.getByLabel('Title').focus();
  await page.getByText(/Gauge table, left: 3 points/).waitFor();
  await page.close();
});

test('a setup of a day shows what the bench says of it, and leads there', async () => {
  const day = await bench.demoId();
  const item = bench.makeItem({
    kind: 'wheel',
    title: 'Front of the deep pair',
    input: sheet,
    setup: 'deep pair',
  });
  const page = await openAt(bench, `#/day/${day}/setups`);
  const own = page.locator('.setup', { hasText: 'Mass and wheels of Deep pair' });
  const link = own.getByRole('link', { name: /^Front of the deep pair/ });
  assert.match(await link.innerText(), /Lateral [\d.]+\s*N\/mm/);
  assert.match(await own.innerText(), /CdA 0\.\d+ ± 0\.\d+/, 'beside its field drag');
  await page
    .getByRole('region', { name: 'From the bench' })
    .getByText('Front of the deep pair')
    .waitFor();
  await link.click();
  await until(page, `location.hash === '#/bench/${item}'`);
  await page.getByRole('heading', { name: 'Front of the deep pair' }).waitFor();
  const back = page.getByRole('list', { name: 'Days with this setup' }).getByRole('link').first();
  await back.click();
  await until(page, `location.hash.startsWith('#/day/')`);
  await page.close();
});

test('nothing went wrong in the console, and no other machine was asked', () => {
  assert.deepEqual(bench.strayed, []);
  assert.deepEqual(bench.faults, []);
});
