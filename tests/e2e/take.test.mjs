// Taking apart by other hands: the helper who counts, a keyboard or wireless key, a phone that was
// locked in between, a server that is away. Corrections later.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';

import * as screen from './screen.mjs';
import { close, garage, open } from './server.mjs';

const SIZES = [{ width: 390, height: 844 }, { width: 360, height: 740 }];
// Two taps that record are never as close together as a glove's double tap, which is ignored.
const PERSON_MS = 800;

let place;
let server;
let chrome;
let phone;
let page;
let job;

before(async () => {
  place = garage();
  server = await open(null, place.folder);
  chrome = await screen.browser();
  phone = await screen.phone(chrome, SIZES[1]);
  page = phone.page;
  await page.goto(`${server.address}begin`);
  await page.locator('[name="machine"]').fill('Bramble chipper');
  await page.locator('.did.main').tap();
  await page.waitForURL(/\/take$/);
  job = page.url().replace('/take', '');
});

after(() => close(chrome, server, place));

async function recorded(work) {
  const number = await screen.seen(page);
  await work();
  await screen.settled(page, number);
  await page.waitForTimeout(PERSON_MS);
}

const kind = (word) => page.locator(`[data-compose] [data-kind="${word}"]`).first();
const counted = (word) => kind(word).locator('b').textContent();
const lastEntry = () => page.locator('[data-part="taken-last"]').textContent();

test('20 plugs are counted with 20 taps on one screen', async () => {
  for (const size of SIZES) {
    await page.setViewportSize(size);
    await page.goto(`${job}/scribe`);
    const plug = kind('plug');
    for (let number = 0; number < 20; number += 1) await plug.tap();
    assert.equal(await counted('plug'), '20');
    assert.equal(await page.evaluate(() => window.scrollY), 0);
    const buttons = page.locator('[data-compose] button:visible');
    for (const button of await buttons.all()) {
      const box = await button.boundingBox();
      assert.ok(box.y >= 0 && box.y + box.height <= size.height + 1, 'all of it is on the screen');
      assert.ok(box.x >= 0 && box.x + box.width <= size.width + 1, 'and not beside it');
    }
    await recorded(() => page.locator('[data-counted]').tap());
    assert.equal(await counted('plug'), '');
    assert.match(await page.locator('[data-part="counted"]').textContent(), /20 plugs/);
  }
});

test('every key is on the screen and wide enough for a glove', async () => {
  for (const size of SIZES) {
    await page.setViewportSize(size);
    await page.goto(`${job}/take`);
    const hidden = await page.locator('[data-compose] button:visible').evaluateAll((all) => {
      const bar = document.querySelector('[data-compose] .buttons');
      const above = all.filter((one) => !bar.contains(one));
      const top = bar.getBoundingClientRect().top;
      return above.filter((one) => one.getBoundingClientRect().bottom > top + 1)
        .map((one) => `${one.textContent} ${one.getBoundingClientRect().bottom} ${top}`);
    });
    assert.deepEqual(hidden, [], `behind the last buttons at ${size.width}`);
    const narrow = await page.locator('.how-many button').evaluateAll(
      (all) => all.map((one) => one.offsetWidth).filter((width) => width < 64),
    );
    assert.deepEqual(narrow, [], `at ${size.width}`);
  }
  await page.setViewportSize({ width: 1280, height: 800 });
  const [keys, list] = await page.locator('[data-take] > section').evaluateAll(
    (all) => all.map((one) => one.getBoundingClientRect()),
  );
  assert.ok(list.left >= keys.right && list.top < keys.bottom, 'beside the keys stands the list');
  await page.setViewportSize(SIZES[1]);
});

test('a keyboard or a wireless key does all of it', async () => {
  await page.goto(`${job}/take`);
  await kind('nut').tap();
  await page.keyboard.press('7');
  assert.equal(await counted('nut'), '7');
  await page.keyboard.press('3');
  await kind('clip').tap();
  await page.keyboard.press('Backspace');
  assert.equal(await counted('clip'), '');
  await page.keyboard.type('tray');
  assert.equal(await page.locator('input[name="name"]').inputValue(), 'tray');
  await page.keyboard.press('Enter');
  await recorded(() => page.keyboard.press('Enter'));
  assert.match(await lastEntry(), /Tray off: 3 nuts; kept/);
  await recorded(() => page.keyboard.press('Enter'));
  assert.match(await lastEntry(), /Part 1 off; kept/);
  await recorded(() => page.keyboard.press('Backspace'));
  assert.match(await lastEntry(), /Tray off: 3 nuts; kept/);
});

test('what is put together survives a locked phone, and is not shown as kept', async () => {
  await kind('screw').tap();
  await page.locator('[data-compose] [data-count="4"]').tap();
  await page.reload();
  await page.waitForFunction(() => document.querySelector('.counted b')?.textContent === '4');
  assert.match(await lastEntry(), /Tray off: 3 nuts; kept/);
  await page.locator('[data-mark="slack"]').tap();
  await recorded(() => page.locator('[data-only]').tap());
  assert.match(await lastEntry(), /4 screws slack; kept/);
});

test('without the server a line says that it waits; with it, that it is kept', async () => {
  await server.end('SIGKILL');
  await kind('hose').tap();
  await page.locator('[data-off]').tap();
  const line = page.locator('[data-pending] li');
  await line.filter({ hasText: 'Part off: 1 hose; waiting to be sent' }).waitFor();
  const before = await screen.seen(page);
  const port = new URL(server.address).port;
  server = await open(null, place.folder, ['--port', port]);
  await screen.settled(page, before);
  assert.match(await lastEntry(), /Part 2 off: 1 hose; kept/);
});

test('named, counted anew and struck out later, in a few taps each', async () => {
  const sheet = page.locator('#sheet [data-sheet-body]');
  await page.locator('li[data-key^="taken "] a.row').first().tap();
  await sheet.locator('input[name="note"]').first().fill('bleed hose bracket');
  await recorded(() => sheet.getByRole('button', { name: 'Call it so' }).tap());
  assert.match(await lastEntry(), /Bleed hose bracket off: 1 hose; kept/);
  await page.locator('li[data-key^="taken "] a.row').last().tap();
  await sheet.getByRole('link', { name: '3 nuts' }).tap();
  await sheet.locator('h2', { hasText: 'tray nuts' }).waitFor();
  await recorded(() => sheet.getByRole('button', { name: '1 of 3' }).tap());
  const rows = () => page.locator('li[data-key^="taken "]').last().textContent();
  assert.match(await rows(), /Tray off: 2 nuts, 1 nut/);
  const lines = await page.locator('li[data-key^="taken "]').count();
  await page.locator('li[data-key^="taken "] a.row').nth(1).tap();
  await sheet.locator('h2', { hasText: 'screws' }).waitFor();
  await recorded(() => sheet.getByRole('button', { name: 'It never was' }).tap());
  assert.equal(await page.locator('li[data-key^="taken "]').count(), lines - 1);
  assert.deepEqual(phone.troubles, []);
});

test('a name without blanks widens no page, and whole rows are for gloves', async () => {
  const long = `bracket${'Wm'.repeat(55)}`;
  await page.goto(`${job}/take`);
  await page.locator('[data-compose] input[name="name"]').fill(long);
  await kind('nut').tap();
  await recorded(() => page.locator('[data-off]').tap());
  const thing = `thing?thing=${encodeURIComponent(long)}`;
  const paths = ['take', 'now', 'list', 'questions', 'record', 'gate', 'sheet/way-back', thing,
    thing.replace('thing?', 'facts?'), thing.replace('thing?', 'holds?')];
  for (const size of [...SIZES, { width: 1280, height: 800 }]) {
    await page.setViewportSize(size);
    for (const path of paths) {
      await page.goto(`${job}/${path}`);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      assert.ok(wide <= size.width, `${path} is ${wide} wide at ${size.width}`);
      const low = await page.locator('a.ask:visible, a.close:visible').evaluateAll(
        (all) => all.filter((one) => one.getBoundingClientRect().height < 63.5)
          .map((one) => one.textContent),
      );
      assert.deepEqual(low, [], `${path} at ${size.width}`);
    }
  }
  await page.setViewportSize(SIZES[1]);
  assert.deepEqual(phone.troubles, []);
});

test('Found is as big as Something fell', async () => {
  const fell = async () => {
    await page.goto(`${job}/fell`);
    await recorded(() => page.getByRole('button', { name: 'Nut fell' }).tap());
  };
  for (let number = 1; number <= 2; number += 1) {
    await fell();
    for (const size of [...SIZES, { width: 1280, height: 800 }]) {
      await page.setViewportSize(size);
      await page.goto(`${job}/now`);
      const cut = await page.locator('.near .fell > .did:visible').evaluateAll(
        (all) => all.filter((one) => one.offsetWidth < 60 || one.scrollWidth > one.clientWidth)
          .map((one) => `${one.textContent} ${one.offsetWidth}`),
      );
      assert.deepEqual(cut, [], `${number} fell, ${size.width} wide`);
      const found = page.locator('.near .fell').getByRole('button', { name: /^Found/ });
      assert.equal(await found.count(), number);
      if (number === 1) {
        const again = page.locator('.near .fell').getByRole('link', { name: 'Something fell' });
        const [one, other] = [await found.first().boundingBox(), await again.boundingBox()];
        assert.ok(one.width > other.width * 0.6, `${one.width} beside ${other.width}`);
      }
    }
    await page.setViewportSize(SIZES[1]);
  }
  assert.deepEqual(phone.troubles, []);
});
