import test from 'node:test';
import assert from 'node:assert/strict';
import type { Page } from 'playwright-core';
import { asInput, dropFiles, openAt, openBench, until } from './harness.ts';
import type { Bench } from './harness.ts';

/** One server and one browser for all; every test has a tab and mostly a day of its own. */
let bench: Bench;
test.before(async () => {
  bench = await openBench();
});
test.after(async () => {
  await bench?.close();
});

const text = (content: string): Uint8Array => new TextEncoder().encode(content);
const phone = { width: 390, height: 844 };

/** Waits until the finding shown belongs to the day as it stands, and gives the words of the pane. */
async function settledFinding(page: Page): Promise<string> {
  const pane = page.getByRole('region', { name: 'Finding' });
  await pane.locator('.finding-table').waitFor();
  await page.locator('.pane-finding [aria-busy="false"]').waitFor();
  return pane.locator('.finding-table').innerText();
}

async function chooseSetup(page: Page, run: number, label: string): Promise<void> {
  const select = page.getByLabel(`Setup ridden in run ${run}`, { exact: true });
  await select.selectOption({ label });
  await until(
    page,
    `(() => { const s = document.getElementById('setup-${run}'); return s && s.selectedOptions[0].label === ${JSON.stringify(label)}; })()`,
  );
}

test('an empty library teaches, and its demo day opens on the finding', async () => {
  const page = await openAt(bench, '');
  await page.getByRole('heading', { name: /From ride files to a comparison/ }).waitFor();
  await page.getByRole('button', { name: 'Open the demo day' }).click();
  await settledFinding(page);
  await page.getByText('Invented data').waitFor();
  await page.getByText(/Deep pair has less drag than Shallow pair: [\d.]+\sW less/).waitFor();
  await page.getByText(/Mid pair is not separable from Shallow pair/).waitFor();
  const picture = page.getByRole('img', { name: /^Differences of CdA to Shallow pair/ });
  assert.match((await picture.getAttribute('aria-label')) ?? '', /smallest visible difference/);
  assert.ok((await page.getByRole('heading', { name: 'Cautions' }).count()) === 1);
  await page.close();
});

test('files are dropped, setups assigned, and the finding appears without a reload', async () => {
  const id = await bench.makeDay('Dropped files');
  const page = await openAt(bench, `#/day/${id}/runs`);
  await page.getByText('No recordings yet.').waitFor();
  await dropFiles(page, bench.files.slice(0, 2));
  await page.getByText('2 added.').waitFor();
  await page
    .getByLabel('Add recordings')
    .locator('input[type=file]')
    .setInputFiles([bench.files[4], bench.files[5]].map(asInput));
  await page.getByText('4 added.').waitFor();

  // The sheet starts with one setup; the second is named where it is needed.
  const control = await page
    .getByLabel('Setup ridden in run 1', { exact: true })
    .locator('option:nth-child(2)')
    .innerText();
  await chooseSetup(page, 1, control);
  await page
    .getByLabel('Setup ridden in run 2', { exact: true })
    .selectOption({ label: 'New setup …' });
  await page.getByLabel('Name of the new setup').fill('Mid pair');
  await page.keyboard.press('Enter');
  await until(page, `document.getElementById('setup-2').selectedOptions[0].label === 'Mid pair'`);
  await chooseSetup(page, 3, 'Mid pair');
  await chooseSetup(page, 4, control);
  const table = await settledFinding(page);
  assert.match(table, /Mid pair/);
  assert.match(table, /6 \(2\)/, 'six laps in two runs');
  await page.getByRole('img', { name: 'The road from above, north up' }).waitFor();
  await page.close();
});

/** On the demo day a dog runs out in lap 2 of run 4; the page leads straight to that lap. */
const dogLap = { name: 'Use lap 2 of run 4', jump: /: run 4, lap 2$/, id: 'use-4-2' };
const dogSwitchIs = (used: boolean): string =>
  `document.getElementById('${dogLap.id}')?.getAttribute('aria-checked') === '${used}'`;

test('a lap overruled changes the comparison, and taking the word back restores it', async () => {
  const id = await bench.demoId();
  const page = await openAt(bench, `#/day/${id}/runs`);
  const before = await settledFinding(page);
  await page.getByRole('button', { name: dogLap.jump }).click();
  const lap = page.getByRole('switch', { name: dogLap.name });
  const used = (await lap.getAttribute('aria-checked')) === 'true';
  await lap.click();
  await until(page, dogSwitchIs(!used));
  await page.getByLabel(/^Your reason to .* lap 2 of run 4$/).fill('seen from the car');
  await page.getByRole('button', { name: 'Save the reason' }).click();
  await until(
    page,
    `document.querySelector('#why-4-2')?.closest('form').querySelector('button').disabled`,
  );
  const overruled = await settledFinding(page);
  assert.notEqual(overruled, before, 'one lap more or less moves the comparison');
  await page.getByRole('button', { name: 'Take my word back' }).click();
  await until(page, dogSwitchIs(used));
  assert.equal(await settledFinding(page), before);
  await page.close();
});

test('a warning about a lap leads to that lap, from the finding on a phone', async () => {
  const id = await bench.demoId();
  const page = await openAt(bench, `#/day/${id}`, phone);
  await settledFinding(page);
  const go = page.getByRole('button', { name: /^Go to lap \d+ of run \d+$/ }).first();
  const [, lap, run] = /lap (\d+) of run (\d+)/.exec(await go.innerText()) ?? [];
  await go.click();
  await until(page, `document.activeElement?.id === 'use-${run}-${lap}'`);
  await page.close();
});

test('a run covers a part of its recording, is taken out, and comes back whole', async () => {
  const id = await bench.makeDay('Parts of a recording', 2);
  const page = await openAt(bench, `#/day/${id}/runs`);
  await page.getByRole('button', { name: 'More on run 2' }).click();
  const end = page.getByLabel('Run 2 ends');
  await end.fill('nine minutes');
  await end.press('Enter');
  await page.getByText('"nine minutes" is not a time such as 0:12:30.').waitFor();
  await end.fill('0:09:00');
  await end.press('Enter');
  await page.getByText(/to 00:09:00/).waitFor();
  await page.getByRole('button', { name: 'Take run 2 out' }).click();
  await page.getByRole('heading', { name: 'Recordings in no run' }).waitFor();
  await page.getByRole('button', { name: 'Undo' }).click();
  await page.getByText(/to 00:09:00/).waitFor();
  await page.close();
});

test('a wrong file gets a message that says what to do, and the rest goes on', async () => {
  const id = await bench.makeDay('One wrong file');
  const page = await openAt(bench, `#/day/${id}/runs`, phone);
  await dropFiles(page, [
    { file: 'shopping.fit', bytes: text('milk, bread and a spoke key') },
    { file: 'nothing.fit', bytes: new Uint8Array(0) },
    bench.files[0],
  ]);
  await page.getByText('1 added, 2 not usable.').waitFor();
  const about = page.getByRole('list', { name: 'About shopping.fit' }).first();
  assert.match(await about.innerText(), /shopping\.fit/);
  assert.ok((await about.locator('.problem-remedy').first().innerText()).length > 10);
  assert.match(
    await page.getByRole('list', { name: 'About nothing.fit' }).first().innerText(),
    /empty/i,
  );
  await page
    .getByLabel(/Setup ridden in run/)
    .first()
    .waitFor();
  assert.match(await page.locator('.runs').innerText(), /run-1\.fit/);
  assert.equal(await page.locator('.run').count(), 1, 'what cannot be read makes no run');
  await page.close();
});

test('a reload loses nothing: neither what was chosen nor what was still being typed', async () => {
  const id = await bench.makeDay('Reloaded', 2);
  const page = await openAt(bench, `#/day/${id}/setups`);
  const name = page.getByLabel('Name of setup 1');
  await name.fill('Training wheels');
  await name.press('Enter');
  await page.getByText('Mass and wheels of Training wheels').waitFor();
  await page.getByText('The day sheet as text').click();
  const sheet = page.getByLabel('Day sheet, YAML');
  await sheet.fill(`${await sheet.inputValue()}# half a thought`);
  await page.getByLabel('Total mass as ridden').fill('8');
  await page.reload();
  await page.getByText('Mass and wheels of Training wheels').waitFor();
  assert.match(await page.getByLabel('Day sheet, YAML').inputValue(), /# half a thought$/);
  assert.equal(await page.getByLabel('Total mass as ridden').inputValue(), '8');
  await page.getByRole('link', { name: 'Days', exact: true }).click();
  await page.getByLabel('New day: road or purpose').fill('Dyke ro');
  await page.reload();
  assert.equal(await page.getByLabel('New day: road or purpose').inputValue(), 'Dyke ro');
  await page.close();
});

test('a lap is overruled with the keyboard alone, and the focus stays visible', async () => {
  const id = await bench.demoId();
  const page = await openAt(bench, `#/day/${id}/runs`);
  await settledFinding(page);
  const reach = async (wanted: RegExp): Promise<void> => {
    for (let i = 0; i < 120; i++) {
      await page.keyboard.press('Tab');
      const label = (await page.evaluate(
        `(document.activeElement?.getAttribute('aria-label') ?? document.activeElement?.textContent ?? '').trim()`,
      )) as string;
      if (wanted.test(label)) return;
    }
    assert.fail(`Tab never reached ${String(wanted)}`);
  };
  await reach(dogLap.jump);
  await page.keyboard.press('Enter');
  assert.equal(await page.evaluate('document.activeElement.id'), dogLap.id);
  const outline = (await page.evaluate(
    'getComputedStyle(document.activeElement).outlineWidth',
  )) as string;
  assert.equal(outline, '3px');
  const used = Boolean(await page.evaluate(dogSwitchIs(true)));
  await page.keyboard.press('Space');
  await until(page, dogSwitchIs(!used));
  await settledFinding(page);
  assert.equal(
    await page.evaluate('document.activeElement.id'),
    dogLap.id,
    'the focus stays on the switch while the comparison is renewed',
  );
  await page.keyboard.press('Space');
  await until(page, dogSwitchIs(used));
  await settledFinding(page);
  await page.close();
});

test('a mistake in the sheet is kept, said with its line, and mended', async () => {
  const id = await bench.makeDay('Mistaken sheet', 1);
  const page = await openAt(bench, `#/day/${id}/setups`);
  await page.getByText('The day sheet as text').click();
  const sheet = page.getByLabel('Day sheet, YAML');
  const good = await sheet.inputValue();
  await sheet.fill(good.replace(/massKg: *[\d.]+/, 'massKg: 83200'));
  await page.getByRole('button', { name: 'Save the sheet' }).click();
  const mistakes = page.getByRole('list', { name: 'Mistakes by line' });
  await mistakes.getByText(/83200/).first().waitFor();
  await mistakes
    .getByRole('button', { name: /^line \d+/ })
    .first()
    .click();
  const chosen = (await page.evaluate(
    `(() => { const t = document.getElementById('sheet-text'); return t.value.slice(t.selectionStart, t.selectionEnd); })()`,
  )) as string;
  assert.ok(chosen.length > 0, 'the line of the mistake is marked in the text');
  await sheet.fill(good);
  await page.getByRole('button', { name: 'Save the sheet' }).click();
  await until(page, `!/83200/.test(document.body.innerText)`);
  await page.close();
});

test('what one window changes, the other shows', async () => {
  const id = await bench.makeDay('Two windows', 1);
  const first = await openAt(bench, `#/day/${id}/setups`);
  const second = await openAt(bench, `#/day/${id}/setups`, phone);
  await second.getByLabel('Name of setup 1').waitFor();
  await first.getByLabel('Another setup').fill('Deep pair');
  await first.getByRole('button', { name: 'Add the setup' }).click();
  await second.getByText('Mass and wheels of Deep pair').waitFor();
  await first.close();
  await second.close();
});

test('an answer that comes late does not undo what is shown', async () => {
  const id = await bench.makeDay('Overtaken', 1);
  const page = await openAt(bench, `#/day/${id}/setups`);
  await page.getByLabel('Name of setup 1').waitFor();
  // The next time the page asks for the day, the answer is taken at once and handed on only later.
  let release = (): void => {};
  const held = new Promise<void>((resolve) => {
    void page.route(
      `**/api/days/${id}`,
      async (route) => {
        const response = await route.fetch();
        resolve();
        await new Promise<void>((go) => (release = go));
        await route.fulfill({ response });
      },
      { times: 1 },
    );
  });
  await fetch(`${bench.url}api/days/${id}/edit`, {
    method: 'PATCH',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ edits: [{ op: 'set', path: 'title', value: 'Overtaken once' }] }),
  });
  await held;
  await page.getByLabel('Another setup').fill('Deep pair');
  await page.getByRole('button', { name: 'Add the setup' }).click();
  await page.getByText('Mass and wheels of Deep pair').waitFor();
  const late = page.waitForResponse(`**/api/days/${id}`);
  release();
  await (await late).finished();
  await page.evaluate('new Promise((r) => requestAnimationFrame(() => requestAnimationFrame(r)))');
  assert.equal(await page.getByText('Mass and wheels of Deep pair').count(), 1);
  await page.close();
});

test('a server that does not answer is said in words, and the switch shows what is saved', async () => {
  const id = await bench.demoId();
  const page = await openAt(bench, `#/day/${id}/runs`, phone);
  await page.getByRole('button', { name: dogLap.jump }).click();
  const used = Boolean(await page.evaluate(dogSwitchIs(true)));
  await page.route('**/edit', (route) => route.abort());
  await page.keyboard.press('Space');
  await page.getByText(/Lapbench does not answer on this machine/).waitFor();
  await until(page, dogSwitchIs(used));
  await page.close();
});

test('days are searched, removed with a way back, and restored', async () => {
  await bench.makeDay('Quarry road');
  const page = await openAt(bench, '');
  await page.getByLabel('Search days').fill('quarry');
  await page.getByText(/^1 of \d+$/).waitFor();
  await page.getByRole('button', { name: 'Remove "Quarry road"' }).click();
  await page.getByRole('button', { name: 'Undo' }).click();
  await page.getByText('"Quarry road" is back.').waitFor();
  await page.getByRole('button', { name: 'Remove "Quarry road"' }).click();
  await page.getByText(/^0 of \d+$/).waitFor();
  await page.getByText('Removed days').click();
  await page.getByRole('button', { name: 'Restore "Quarry road"' }).click();
  await page.getByRole('link', { name: /^Quarry road/ }).waitFor();
  await page.close();
});

test('the residual checks are said in words, one click from the finding', async () => {
  const id = await bench.demoId();
  const page = await openAt(bench, `#/day/${id}`, phone);
  await settledFinding(page);
  await page.getByRole('link', { name: 'Check the residuals' }).click();
  await page.getByRole('heading', { name: 'Does the model fit this day?' }).waitFor();
  assert.ok((await page.locator('.check').count()) >= 3);
  assert.match(await page.locator('.check').first().innerText(), /Passed|Did not pass/);
  await page.getByRole('img', { name: /^Residuals against ground speed/ }).waitFor();
  await page.getByRole('img', { name: /^Standard uncertainty of a difference/ }).waitFor();
  await page.close();
});

test('the trace shows its channels with the laps, and a single lap on demand', async () => {
  const id = await bench.demoId();
  const page = await openAt(bench, `#/day/${id}/runs`);
  await settledFinding(page);
  await page.getByRole('button', { name: 'Show trace of run 4' }).click();
  await page.getByRole('img', { name: /^speed over time/ }).waitFor();
  assert.equal(await page.locator('.trace canvas').count(), 3);
  await page.getByLabel('Stretch shown').selectOption({ label: 'Lap 2' });
  await page.getByRole('img', { name: /^power over time/ }).waitFor();
  await page.close();
});

test('the page asks nothing of any other machine, and its console is clean', () => {
  assert.deepEqual(bench.strayed, []);
  assert.deepEqual(bench.faults, []);
});
