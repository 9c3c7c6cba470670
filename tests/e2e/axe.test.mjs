// Every page at a phone's size, looked at by axe-core: nothing serious, nothing critical. The rules
// are those of axe-core itself; which pages there are is read from the server's own routes.

import assert from 'node:assert/strict';
import { createRequire } from 'node:module';
import { readFileSync } from 'node:fs';
import { after, before, test } from 'node:test';

import * as pages from './pages.mjs';
import * as screen from './screen.mjs';
import { draw, taken } from './photos.mjs';
import { close, garage, open, run } from './server.mjs';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const GRAVE = ['serious', 'critical'];
const SIZES = [{ width: 390, height: 844 }, { width: 1280, height: 800 }];
const SCHEMES = ['light', 'dark'];

let place;
let server;
let chrome;
let phone;
let page;
const jobs = [];

const lastbolt = async (...words) => {
  const ran = await run([...words, '--garage', place.folder]);
  assert.equal(ran.code, 0, `${words.join(' ')}: ${ran.err}`);
  return ran.out.trim();
};

before(async () => {
  place = garage();
  await lastbolt('garage', 'add', 'person', 'Wren');
  await lastbolt('garage', 'set', 'wrench', 'small', 'range', '5-25 N·m');
  await lastbolt('garage', 'set', 'minutes', 'screw', '0,5');
  const filed = await lastbolt('begin', 'demo/kelp');
  const first = JSON.parse(await lastbolt('next', filed, '--json'));
  await lastbolt('note', filed, 'symptom', 'tell-tale thins out');
  const begun = await lastbolt('begin', '--machine', 'Plover pump', '--after', 'the seal');
  await lastbolt('took', begun, 'tray', '--tie', 'nut:3', '--tie', 'earth', '--from', 'above');
  const over = await lastbolt('begin', '--machine', 'Finch mower', '--after', 'belt');
  server = await open(null, place.folder);
  chrome = await screen.browser();
  phone = await screen.phone(chrome, SIZES[0]);
  page = phone.page;
  jobs.push({ id: filed, things: thingsOf(first), joints: ['leg screws'] });
  jobs.push({ id: begun, things: ['tray', 'tray nuts'] });
  jobs.push({ id: over, things: [] });
  await bring(begun);
});

after(() => close(chrome, server, place));

const thingsOf = (first) => [...new Set(['leg screws', first.next?.thing].filter(Boolean))];

// One photo, so that the pages of photos have something to show.
async function bring(job) {
  await page.goto(new URL(`/job/${job}/photos`, server.address).href);
  const drawn = await draw(page, 800, 600, 'A');
  const buffer = taken(drawn, new Date(), 'nowhere');
  const before = await screen.seen(page);
  await page.locator('input[data-photos][multiple]')
    .setInputFiles([{ name: 'A.jpg', mimeType: 'image/jpeg', buffer }]);
  await screen.settled(page, before);
  const link = await page.locator('a[href*="/photo?photo="]').first().getAttribute('href');
  const photo = new URL(link, server.address).searchParams.get('photo');
  jobs.find((one) => one.id === job).photo = photo;
}

// What axe-core finds that is grave: the rule, and where.
async function grave() {
  await page.evaluate(AXE);
  const found = await page.evaluate((impacts) => window.axe
    .run(document, { resultTypes: ['violations'] })
    .then(({ violations }) => violations.filter((one) => impacts.includes(one.impact))), GRAVE);
  return found.map((one) => `${one.id}: ${one.nodes.map((node) => node.html).slice(0, 2)}`);
}

async function openPage(address) {
  const answer = await page.goto(new URL(address, server.address).href);
  assert.ok([200, 304].includes(answer.status()), `${address}: ${answer.status()}`);
}

for (const [index, which] of ['a file', 'nothing', 'nothing, untouched'].entries()) {
  test(`no page of a job from ${which} has anything grave`, async () => {
    const { id, ...about } = jobs[index];
    const all = pages.addresses(id, about);
    assert.ok(all.length > 20, `${all.length} pages`);
    const wrong = [];
    for (const address of all) {
      await openPage(address);
      wrong.push(...(await grave()).map((what) => `${address} ${what}`));
      const wide = await page.evaluate(() => document.documentElement.scrollWidth > innerWidth);
      if (wide) wrong.push(`${address} is wider than the screen`);
    }
    assert.deepEqual(wrong, []);
  });
}

test('the garage and today, dark and light, on a laptop too', async () => {
  const wrong = [];
  for (const colorScheme of SCHEMES) {
    for (const size of SIZES) {
      await page.emulateMedia({ colorScheme });
      await page.setViewportSize(size);
      for (const address of ['/', '/garage', '/begin']) {
        await openPage(address);
        for (const fold of await page.locator('details > summary').all()) await fold.click();
        wrong.push(...(await grave()).map((what) => `${address} ${colorScheme} ${what}`));
      }
    }
  }
  await page.setViewportSize(SIZES[0]);
  assert.deepEqual(wrong, []);
});

test('the wrong twins are found: no label, letters that cannot be read', async () => {
  await openPage('/begin');
  assert.deepEqual(await grave(), []);
  await page.evaluate(() => {
    const label = document.querySelector('label:has(input)');
    label.replaceWith(label.querySelector('input'));
  });
  assert.match((await grave()).join('\n'), /^label:/m);
  await page.emulateMedia({ colorScheme: 'light' });
  await openPage('/');
  await page.evaluate(() => { document.querySelector('h2').style.color = 'rgb(170 170 170)'; });
  assert.match((await grave()).join('\n'), /^color-contrast:/m);
});

test('the garage is changed by taps: numbers, dates, people, minutes', async () => {
  await openPage('/garage');
  await page.getByRole('button', { name: '2,5' }).tap();
  await page.locator('button[aria-pressed="true"]', { hasText: '2,5' }).waitFor();
  await page.getByRole('button', { name: '26.11.2026' }).tap();
  await page.locator('button[aria-pressed="true"]', { hasText: '26.11.2026' }).waitFor();
  await page.locator('input[placeholder="puller, three legs"]').fill('oil can');
  await page.getByRole('button', { name: 'Add tool' }).tap();
  await page.locator('details[open] .what', { hasText: 'oil can' }).waitFor();
  await page.getByText('By kind').tap();
  const nut = page.locator('form.usual', { hasText: /^nut/ });
  await nut.locator('input').fill('1,25');
  await nut.getByRole('button', { name: 'Keep' }).tap();
  await page.locator('form.usual', { hasText: 'nut yours' }).waitFor();
  const said = JSON.parse(await lastbolt('garage', '--json'));
  assert.equal(said.display.decimal, 'comma');
  assert.equal(said.display.date, 'day.month.year');
  assert.ok('oil can' in said.tools && 'Wren' in said.people);
  const { minutes, yours } = said.minutes.find((one) => one.kind === 'nut');
  assert.deepEqual([minutes, yours], [1.25, true]);
  await openPage(`/job/${jobs[1].id}/who`);
  await page.getByRole('button', { name: 'Wren' }).waitFor();
  await openPage(`/job/${jobs[1].id}/record`);
  assert.match(await page.locator('time').first().textContent(), /^\d\d\.\d\d\.\d{4}, /);
  assert.deepEqual(phone.troubles, []);
});
