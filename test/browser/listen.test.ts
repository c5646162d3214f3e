/** Sounds of a ride: brought in, listened to, looked at; in a real browser against the real server. */
import test from 'node:test';
import assert from 'node:assert/strict';
import type { Page } from 'playwright-core';
import { asInput, dropFiles, openAt, openBench, until } from './harness.ts';
import type { Bench } from './harness.ts';
import { howlingRide } from './listen-ride.ts';

let bench: Bench;
let howl: Uint8Array;
test.before(async () => {
  bench = await openBench();
  howl = howlingRide();
});
test.after(async () => {
  await bench?.close();
});

const text = (words: string) => new TextEncoder().encode(words);
const phone = { width: 390, height: 844 };

/** Makes a sound through the HTTP interface, listened to, and answers its id. */
async function makeSound(title: string): Promise<string> {
  const ask = async (method: string, path: string, body?: unknown): Promise<unknown> => {
    const raw = body instanceof Uint8Array;
    const answer = await fetch(`${bench.url}api/sounds${path}`, {
      method,
      headers: { 'content-type': raw ? 'application/octet-stream' : 'application/json' },
      body: body === undefined ? undefined : raw ? Buffer.from(body) : JSON.stringify(body),
    });
    assert.ok(answer.ok, `${method} ${path}: ${answer.status}`);
    return answer.json();
  };
  const begun = (await ask('POST', '/uploads', { file: 'howl.wav', bytes: howl.length })) as {
    upload: string;
  };
  await ask('PUT', `/uploads/${begun.upload}?offset=0`, howl);
  const { id } = (await ask('POST', '', { kind: 'noise', title, upload: begun.upload })) as {
    id: string;
  };
  while (((await ask('GET', `/${id}`)) as { state: string }).state !== 'ready');
  return id;
}

const openSound = async (id: string, size?: { width: number; height: number }): Promise<Page> => {
  const page = await openAt(bench, `#/listen/${id}`, size);
  await page.getByRole('group', { name: /^Spectrogram/ }).waitFor();
  await page.locator('.tone').first().waitFor();
  return page;
};

test('a file is brought in, listened to with progress, and its causes are told with odds that add up', async () => {
  const page = await openAt(bench, '#/listen');
  // The piece on its way is held until its progress has been seen.
  let release = (): void => {};
  const seen = new Promise<void>((go) => (release = go));
  await page.route('**/api/sounds/uploads/*', async (route) => {
    if (route.request().method() === 'PUT') await seen;
    await route.continue();
  });
  await page
    .getByLabel('Add sound files')
    .setInputFiles(asInput({ file: 'howl.wav', bytes: howl }));
  await page.getByRole('progressbar', { name: 'howl.wav copied in' }).waitFor();
  release();
  await until(page, `/^#\\/listen\\/./.test(location.hash)`);
  await page.getByRole('heading', { name: 'What could make it' }).waitFor();
  const causes = page.locator('.cause');
  assert.equal(await causes.count(), 7);
  assert.equal(await causes.filter({ hasText: 'None of these' }).count(), 1);
  const odds = (await page.locator('.cause-odds').allInnerTexts()).map((words) =>
    /^under/.test(words) ? 0 : Number(/\d+/.exec(words)),
  );
  const sum = odds.reduce((a, b) => a + b, 0);
  assert.ok(sum >= 96 && sum <= 103, `${odds.join(' + ')}, rounded each to a percent`);
  assert.deepEqual(
    [...odds].sort((a, b) => b - a),
    odds,
    'likeliest first',
  );
  await page.getByRole('heading', { name: 'Cautions' }).waitFor();
  await page.close();
});

test('a tone chosen in the list is marked in the picture, and one chosen in the picture in the list', async () => {
  const page = await openSound(await makeSound('Two ways'));
  const tones = page.getByRole('button', { name: /^Tone \d/ });
  await tones.filter({ hasText: 'Hz' }).nth(1).click();
  const flag = page.locator('.tone-flag');
  await flag.waitFor();
  assert.match(await flag.innerText(), /^tone 2: \d+/);
  const own = await page.locator('.tone[aria-pressed="true"]').innerText();
  assert.equal(
    /(\d+)/.exec((await flag.innerText()).split(':')[1])?.[1],
    String(Math.round(Number(/(\d+\.?\d*) ±/.exec(own)?.[1]))),
  );
  await page.keyboard.press('Enter');
  await flag.waitFor({ state: 'detached' });

  // Where the first tone was marked, its number stands in the picture.
  await page.locator('.tone').first().click();
  await flag.waitFor();
  const place = (await page.evaluate(`(() => {
    const flag = document.querySelector('.tone-flag').getBoundingClientRect();
    const hold = document.querySelector('.picture-hold').getBoundingClientRect();
    return { x: flag.left - hold.left + 14, y: flag.top - hold.top + 44 };
  })()`)) as { x: number; y: number };
  await page.locator('.tone').first().click();
  await flag.waitFor({ state: 'detached' });
  await page.locator('.picture-hold').click({ position: place });
  await page.locator('.tone[aria-pressed="true"]').waitFor();
  assert.match(await page.locator('.tone[aria-pressed="true"]').innerText(), /^Tone\s+1\s/);
  await page.close();
});

test('the picture is moved and stretched with the keyboard, and a piece is played from it', async () => {
  const page = await openSound(await makeSound('By keyboard'));
  const picture = page.getByRole('group', { name: /^Spectrogram/ });
  const view = () => picture.getAttribute('aria-label');
  const whole = await view();
  await picture.focus();
  await page.keyboard.press('+');
  await until(
    page,
    `document.activeElement.getAttribute('aria-label') !== ${JSON.stringify(whole)}`,
  );
  const detail = page.waitForResponse('**/detail?*');
  await page.keyboard.press('+');
  await page.keyboard.press('+');
  assert.equal((await detail).status(), 200, 'seen closely, finer levels are fetched');
  const near = await view();
  await page.keyboard.press('ArrowRight');
  await until(
    page,
    `document.activeElement.getAttribute('aria-label') !== ${JSON.stringify(near)}`,
  );
  await page.keyboard.press('Home');
  await until(
    page,
    `document.activeElement.getAttribute('aria-label') === ${JSON.stringify(whole)}`,
  );
  const piece = page.waitForResponse('**/piece.wav?*');
  await page.keyboard.press('Space');
  const answer = await piece;
  assert.equal(answer.status(), 200);
  assert.match(answer.headers()['content-type'], /wav/);
  await page.close();
});

test('a wrong file is told with a remedy, makes no sound, and the rest goes on', async () => {
  const page = await openAt(bench, '#/listen', phone);
  await page
    .getByRole('button', { name: /^Pluck|Record/ })
    .or(page.locator('.drop'))
    .first()
    .waitFor();
  const before = await page.locator('.day-list > li').count();
  await dropFiles(page, [
    { file: 'shopping.wav', bytes: text('milk, bread and a spoke key') },
    { file: 'second.wav', bytes: howl },
  ]);
  await page.getByText('1 added, 1 not usable.').waitFor();
  const about = page.getByRole('list', { name: 'About shopping.wav' });
  assert.ok((await about.locator('.problem-remedy').first().innerText()).length > 10);
  await page.getByRole('link', { name: 'Open second.wav' }).waitFor();
  await page.getByRole('link', { name: /^second/ }).waitFor();
  assert.equal(await page.getByRole('link', { name: /^shopping/ }).count(), 0);
  assert.ok((await page.locator('.day-list > li').count()) > before);
  await page.close();
});

test('a connection that drops costs nothing: the file goes on where it was', async () => {
  const page = await openAt(bench, '#/listen');
  let lost = 0;
  await page.route('**/api/sounds/uploads/*', async (route) => {
    if (route.request().method() === 'PUT' && lost++ === 0) await route.abort();
    else await route.continue();
  });
  await page
    .getByLabel('Add sound files')
    .setInputFiles(asInput({ file: 'dropped.wav', bytes: howl }));
  await until(page, `/^#\\/listen\\/./.test(location.hash)`);
  await page.getByRole('heading', { name: 'dropped' }).waitFor();
  assert.equal(lost, 2);
  await page.close();
});

test('an upload that is stopped leaves nothing behind', async () => {
  const page = await openAt(bench, '#/listen');
  let release = (): void => {};
  const held = new Promise<void>((go) => (release = go));
  await page.route('**/api/sounds/uploads/*', async (route) => {
    if (route.request().method() === 'PUT') await held;
    await route.continue();
  });
  await page
    .getByLabel('Add sound files')
    .setInputFiles(asInput({ file: 'stopped.wav', bytes: howl }));
  await page.getByRole('button', { name: 'Stop stopped.wav' }).click();
  release();
  await page.locator('.sending-stopped').waitFor();
  assert.equal(await page.getByRole('link', { name: /^stopped/ }).count(), 0);
  await page.close();
});

test('a sound is removed with a way back', async () => {
  await makeSound('Quarry road howl');
  const page = await openAt(bench, '#/listen');
  await page.getByRole('button', { name: 'Remove "Quarry road howl"' }).click();
  await page.getByRole('button', { name: 'Undo' }).click();
  await page.getByText('"Quarry road howl" is back.').waitFor();
  await page.getByRole('link', { name: /^Quarry road howl/ }).waitFor();
  await page.getByRole('button', { name: 'Close' }).click();
  await page.getByRole('button', { name: 'Remove "Quarry road howl"' }).click();
  await page.getByRole('button', { name: 'Close' }).click();
  await page.getByText('Removed sounds').click();
  await page.getByRole('button', { name: 'Restore "Quarry road howl"' }).click();
  await page.getByRole('link', { name: /^Quarry road howl/ }).waitFor();
  await page.close();
});

test('what is known of the ride is kept at once, refused where it cannot be, and outlives a reload', async () => {
  const page = await openSound(await makeSound('Told more'), phone);
  const torque = page.getByLabel('Brake torque while it howled');
  await torque.fill('4000');
  await torque.press('Enter');
  await page.getByText('Between 0.1 and 500, please.').waitFor();
  const saved = page.waitForResponse((answer) => answer.request().method() === 'PATCH');
  await torque.fill('45');
  await torque.press('Enter');
  assert.equal((await saved).status(), 200);
  await page.getByText('What passes at each turn').click();
  await page.getByLabel('Slots of the rotor in one turn').fill('2');
  await page.reload();
  await page.getByText('What passes at each turn').waitFor();
  assert.equal(await torque.inputValue(), '45');
  await page.getByText('What passes at each turn').click();
  assert.equal(
    await page.getByLabel('Slots of the rotor in one turn').inputValue(),
    '2',
    'also what was still being typed',
  );
  await page.close();
});

test('an answer that comes late does not undo what is shown', async () => {
  const id = await makeSound('Overtaken');
  const page = await openSound(id);
  let release = (): void => {};
  const held = new Promise<void>((resolve) => {
    void page.route(
      `**/api/sounds/${id}`,
      async (route) => {
        const response = await route.fetch();
        resolve();
        await new Promise<void>((go) => (release = go));
        await route.fulfill({ response, headers: { ...response.headers(), 'x-late': 'yes' } });
      },
      { times: 1 },
    );
  });
  await fetch(`${bench.url}api/sounds/${id}`, {
    method: 'PATCH',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ title: 'Overtaken once' }),
  });
  await held;
  const title = page.getByLabel('Title');
  await title.fill('Mine');
  await title.press('Enter');
  await page.getByRole('heading', { name: 'Mine', level: 1 }).waitFor();
  const late = page.waitForResponse((answer) => answer.headers()['x-late'] === 'yes');
  release();
  await (await late).finished();
  // A question asked after it is answered after it.
  await page.evaluate(`fetch('/api/sounds').then((answer) => answer.text())`);
  await page.evaluate('new Promise((r) => requestAnimationFrame(() => requestAnimationFrame(r)))');
  assert.equal(await page.getByRole('heading', { name: 'Mine', level: 1 }).count(), 1);
  await page.close();
});

test('in the invented howl a spoke pointed at is named, a tone of a cause is marked, and the picture is saved', async () => {
  const page = await openAt(bench, '#/listen');
  await fetch(`${bench.url}api/demo`);
  await until(
    page,
    `fetch('/api/sounds').then((r) => r.json()).then(({ sounds }) => sounds.some((s) => /^Howling/.test(s.title) && s.state === 'ready'))`,
  );
  await page.reload();
  await page.getByRole('link', { name: /^Howling descent/ }).click();
  const drawing = page.getByRole('img', { name: /^Spoke frequencies against brake torque/ });
  await drawing.waitFor();
  await page.getByRole('heading', { name: /spokes that lose tension/ }).waitFor();
  const spoke = page.getByLabel('Spoke', { exact: true });
  await spoke.selectOption('9');
  await page
    .getByText(/^Spoke 9 \((left|right)\).* tension: \d+\sHz free, \d+\sHz at \d+/)
    .waitFor();
  // Down across the drawing until the pointer meets a curve.
  await spoke.selectOption('');
  await drawing.scrollIntoViewIfNeeded();
  const box = (await drawing.boundingBox())!;
  for (let y = 40; y < box.height - 60; y += 6) {
    await page.mouse.move(box.x + box.width / 2, box.y + y);
    await page.evaluate(
      'new Promise((r) => requestAnimationFrame(() => requestAnimationFrame(r)))',
    );
    if ((await spoke.inputValue()) !== '') break;
  }
  assert.notEqual(await spoke.inputValue(), '');
  const saved = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Save the picture (SVG)' }).click();
  assert.match((await saved).suggestedFilename(), /^Howling descent.*\.svg$/);
  await page
    .getByRole('group', { name: /^Tones that speak of: spokes that lose/ })
    .getByRole('button')
    .first()
    .click();
  await page.locator('.tone-flag').waitFor();
  assert.equal(await page.locator('.tone[aria-pressed="true"]').count(), 1);
  await page.close();
});

test('the page asks nothing of any other machine, and its console is clean', () => {
  assert.deepEqual(bench.strayed, []);
  assert.deepEqual(bench.faults, []);
});
