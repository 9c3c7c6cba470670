// Stop, break, change on the Tarn: left standing with the gearbox out, a stud broken, another job,
// another helper, and every sheet on paper.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';

import { cutOff, pages } from './paper.mjs';
import * as screen from './screen.mjs';
import { close, garage, open } from './server.mjs';

const SHEETS = ['way-in', 'to-buy', 'bench', 'way-back', 'standing', 'handover', 'owner'];

let place;
let server;
let chrome;
let phone;
let page;
let job;

before(async () => {
  place = garage();
  server = await open('demo/tarn', place.folder);
  job = server.address;
  chrome = await screen.browser();
  phone = await screen.phone(chrome);
  page = phone.page;
  await page.addInitScript(() => {
    globalThis.printed = 0;
    globalThis.print = () => { globalThis.printed += 1; };
  });
  await page.goto(job);
});

after(() => close(chrome, server, place));

// Does what the list asks for until it asks for this.
const until = (thing, verb) => screen.hurry(page, job, thing, verb);

async function noWiderThan(width) {
  const wide = await page.evaluate(() => document.documentElement.scrollWidth);
  assert.ok(wide <= width, `${page.url()}: ${wide} wide`);
}

const bodyText = () => page.locator('main').innerText();

test('way in and what to buy print on two pages, before anything is off', async () => {
  for (const sheet of ['way-in', 'to-buy', 'way-back']) {
    await page.goto(`${job}/sheet/${sheet}`);
    const counts = await pages(page);
    for (const [format, count] of Object.entries(counts)) {
      assert.ok(count >= 1 && count <= 2, `${sheet} on ${format}: ${count} pages`);
    }
    assert.deepEqual(await cutOff(page), []);
  }
});

test('two taps leave it standing and print why it must not be started', async () => {
  await page.goto(job);
  await until('clutch cover', 'off');
  await page.locator('[data-part="near"] a', { hasText: 'Stop' }).tap();
  const button = page.locator('#sheet button', { hasText: 'Left standing: print the sheet' });
  await button.waitFor();
  await button.tap();
  await page.waitForURL(/\/standing/);
  await page.waitForFunction(() => globalThis.printed === 1);
  const text = await bodyText();
  for (const wanted of ['Do not start.', 'No gearbox.', 'No gearbox oil.', 'Tail heavy.']) {
    assert.ok(text.includes(wanted), `${wanted} in ${text}`);
  }
  assert.deepEqual(await pages(page), { A4: 1, Letter: 1 });
  assert.deepEqual(await cutOff(page), []);
  await page.reload();
  assert.equal(await page.evaluate(() => globalThis.printed), 0, 'it prints once');
  await page.goto(job);
  assert.match(await page.locator('[data-part="state"]').innerText(), /Left standing/);
  await noWiderThan(390);
  await screen.tap(page, page.locator('button', { hasText: 'Taken up again' }));
  assert.match(await page.locator('[data-part="state"]').innerText(), /Back from a break/);
});

test('a stud breaks in three taps, and it says what waits and what does not', async () => {
  await until('clutch cover', 'off');
  await page.locator('[data-part="near"] a', { hasText: 'Stop' }).tap();
  const kind = page.locator('#sheet .pieces button').first();
  await kind.waitFor();
  await kind.tap();
  await page.waitForURL(/\/broken/);
  assert.match(await bodyText(), /What stops[\s\S]*What can go on/);
  await noWiderThan(390);
  await page.goto(job);
  assert.match(await page.locator('[data-part="state"]').innerText(), /Broke/);
  await page.goto(`${job}/broken`);
  await screen.tap(page, page.locator('button', { hasText: '1 to 3 h' }));
  assert.match(await bodyText(), /1 to 3 h/);
  await screen.tap(page, page.locator('button', { hasText: 'Got it out' }));
  assert.match(await bodyText(), /Nothing is broken/);
});

test('another job is two taps away', async () => {
  const second = await page.evaluate(async () => {
    const answer = await fetch('/api/begin', {
      method: 'POST', headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ version: 1, machine: 'Bramble saw', after: 'spindle' }),
    });
    return answer.json();
  });
  await page.goto(job);
  await page.locator('[data-part="near"] a', { hasText: 'Stop' }).tap();
  const other = page.locator('#sheet a.row', { hasText: 'Bramble saw' });
  await other.waitFor();
  assert.match(await other.innerText(), /^B\b/);
  await other.tap();
  await page.waitForURL(new RegExp(second.job));
});

test('every sheet fits phone, laptop and paper', async () => {
  for (const size of [{ width: 390, height: 844 }, { width: 1280, height: 800 }]) {
    await page.setViewportSize(size);
    for (const sheet of SHEETS) {
      await page.goto(`${job}/sheet/${sheet}`);
      await noWiderThan(size.width);
    }
    for (const path of ['/stop', '/broken', '/handover', '/record', '/day/hand-over']) {
      await page.goto(`${job}${path}`);
      await noWiderThan(size.width);
    }
  }
  await page.setViewportSize({ width: 390, height: 844 });
  for (const sheet of SHEETS) {
    await page.goto(`${job}/sheet/${sheet}`);
    assert.deepEqual(await cutOff(page), [], sheet);
    const counts = await pages(page);
    for (const [format, count] of Object.entries(counts)) {
      assert.ok(count <= 2, `${sheet} on ${format}: ${count} pages`);
    }
  }
  assert.deepEqual(phone.troubles, []);
});

// The wrong twin: a sheet that is wider than the paper, and longer than it should be, is found.
test('what does not fit is found', async () => {
  await page.goto(`${job}/sheet/way-back`);
  await page.evaluate(() => {
    for (const line of document.querySelectorAll('.on-paper li')) {
      line.style.minWidth = '60em';
      line.style.paddingBlock = '90px';
    }
  });
  assert.notDeepEqual(await cutOff(page), []);
  assert.ok((await pages(page)).A4 > 2);
});

test('two taps give the job up, with what it means between; one takes it back', async () => {
  await page.goto(`${job}/stop`);
  await page.locator('a', { hasText: 'Give this job up' }).tap();
  await page.waitForURL(/\/give-up/);
  const said = await bodyText();
  for (const wanted of ['It stays as it is now: still off', 'Nothing is claimed', 'taken back']) {
    assert.ok(said.includes(wanted), `${wanted} in ${said}`);
  }
  await noWiderThan(390);
  const form = page.locator('form.say');
  await form.locator('input').fill('no gearbox to be had');
  await form.locator('button').tap();
  await page.waitForURL((url) => !url.pathname.endsWith('/give-up'));
  await page.getByText('This job was given up: no gearbox to be had.').waitFor();
  assert.match(await bodyText(), /Nothing is claimed/);
  for (const path of ['/gate', '/record', '/owner']) {
    await page.goto(`${job}${path}`);
    assert.match(await page.locator('body').innerText(), /given up/i, path);
    assert.doesNotMatch(await bodyText(), /All home|handed over| renewed/, path);
    // Nothing stands at the very edge of the screen.
    const edge = await page.evaluate(() => [...document.querySelectorAll('main a, main button')]
      .filter((one) => one.getClientRects().length && one.getBoundingClientRect().left < 8)
      .map((one) => one.textContent));
    assert.deepEqual(edge, [], path);
  }
  await page.goto(job);
  await screen.tap(page, screen.takeBack(page));
  assert.doesNotMatch(await bodyText(), /Nothing is claimed/);
});
