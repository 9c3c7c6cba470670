// The whole Kelp job on a phone's screen, with the mistakes that people make: something done out of
// order, a look passed by, a connection left off. Every wait is for something that can be seen.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';

import * as screen from './screen.mjs';
import { close, garage, open, run } from './server.mjs';

const STEPS_MAX = 90;
const LEFT_OFF = 'shift cap fit';
const LOOK_PASSED_BY = 'shift clamp screw';

let place;
let server;
let chrome;
let phone;
let page;
let job;

before(async () => {
  place = garage();
  server = await open('demo/kelp', place.folder);
  job = server.address;
  chrome = await screen.browser();
  phone = await screen.phone(chrome);
  page = phone.page;
});

after(() => close(chrome, server, place));

// Taps what is asked for until that is `thing`, opening or closing it; gives the draft.
async function goOnTo(thing, verb) {
  for (let step = 0; step < STEPS_MAX; step += 1) {
    const asked = await screen.asked(page);
    assert.ok(asked, `the list ended before ${verb} ${thing}`);
    if (asked.thing === thing && asked.verb === verb) return asked;
    await screen.tap(page, screen.main(page));
  }
  throw new Error(`${verb} ${thing} never came`);
}

test('the first thing to do stands in big letters, and nothing has to be scrolled', async () => {
  await page.goto(job);
  assert.match(await screen.title(page), /\w+/);
  const fold = await page.evaluate(() => window.innerHeight);
  for (const part of ['[data-title]', '[data-part="buttons"] .did.main']) {
    const box = await page.locator(part).first().boundingBox();
    assert.ok(box.y >= 0 && box.y + box.height <= fold, `${part} is on the screen`);
  }
  const button = await screen.main(page).boundingBox();
  assert.ok(button.height >= 64, `a glove hits the button: ${button.height}`);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth);
  assert.ok(wide <= 390, `nothing is wider than the screen: ${wide}`);
});

test('one tap takes the last record back', async () => {
  const before = await screen.title(page);
  await screen.tap(page, screen.main(page));
  assert.notEqual(await screen.title(page), before);
  await screen.tap(page, screen.takeBack(page));
  assert.equal(await screen.title(page), before);
});

test('something done out of order is taken, and is not asked for again', async () => {
  await screen.tap(page, screen.main(page));
  assert.notEqual((await screen.asked(page)).thing, 'trim tab screw');
  await screen.outOfOrder(page, job, 'trim tab screw', 'undo');
  await page.goto(`${job}/list?show=open`);
  assert.equal(await page.locator('li[data-key="trim tab screw"]').count(), 1);
  await page.goto(job);
  const rest = await page.locator('[data-step]').evaluateAll(
    (all) => all.map((one) => JSON.parse(one.dataset.step)),
  );
  const again = rest.filter((one) => one.thing === 'trim tab screw' && one.verb === 'undo');
  assert.deepEqual(again, []);
});

test('a reload and a second tab show the same', async () => {
  const here = await screen.title(page);
  await page.reload();
  assert.equal(await screen.title(page), here);
  const second = await phone.context.newPage();
  await second.goto(job);
  assert.equal(await screen.title(second), here);
  await screen.tap(page, screen.main(page));
  const now = await screen.title(page);
  assert.notEqual(now, here);
  await second.waitForFunction(
    (text) => document.querySelector('[data-title]')?.textContent === text,
    now,
  );
  await second.close();
});

test('the server goes away and comes back on the same address, and nothing is lost', async () => {
  await goOnTo('gearcase', 'off');
  const here = await screen.title(page);
  const seen = await screen.seen(page);
  await server.end('SIGKILL');
  // Said while the server is away: kept in the browser, shown as not sent.
  await screen.press(page, screen.main(page));
  await page.waitForFunction(
    () => /1 not sent yet/.test(document.querySelector('[data-unsent]').textContent),
  );
  server = await open('demo/kelp', place.folder);
  assert.equal(server.address, job);
  await screen.settled(page, seen);
  await page.reload();
  assert.notEqual(await screen.title(page), here);
  const state = await run(['state', 'kelp-outboard-1', '--json', '--garage', place.folder]);
  assert.match(state.out, /gearcase/);
});

test('a page of another site can neither read nor record', async () => {
  const { startElsewhere, rawPost } = await import('./elsewhere.mjs');
  const before = await screen.seen(page);
  const events = new URL(job.replace('/job/', '/api/job/') + '/events');
  const elsewhere = await startElsewhere();
  const stranger = await phone.context.newPage();
  await stranger.goto(elsewhere.address);
  const tried = await stranger.evaluate(async (address) => {
    const body = JSON.stringify({
      version: 1,
      events: [{
        id: 'stranger-1', sender: 'stranger', count: 1, seen: 0, said_at_ms: 1, verb: 'said',
        note: 'it was me',
      }],
    });
    const ask = (options) => fetch(address, options).then((answer) => answer.status, () => 'no');
    return [
      await ask({ method: 'POST', headers: { 'content-type': 'application/json' }, body }),
      await ask({ method: 'POST', mode: 'no-cors', body }),
      await ask({ method: 'GET' }),
    ];
  }, events.href);
  assert.ok(tried.every((answer) => answer === 'no' || answer === 0), JSON.stringify(tried));
  await stranger.close();
  await elsewhere.end();
  const own = events.host;
  const refused = [
    await rawPost(events, { host: own, origin: elsewhere.address }),
    await rawPost(events, { host: 'elsewhere.example', origin: `http://${own}` }),
    await rawPost(events, { host: own }),
    await rawPost(events, { host: own, origin: 'null' }),
  ];
  assert.deepEqual(refused, [403, 403, 403, 403]);
  await page.reload();
  assert.equal(await screen.seen(page), before);
});

test('what still holds it: one tap', async () => {
  await goOnTo('pump screws', 'undo');
  await page.goto(`${job}/thing?thing=pump%20housing`);
  await page.getByText('What still holds it?').tap();
  const sheet = page.locator('#sheet [data-sheet-body]');
  await sheet.waitFor();
  assert.match(await sheet.textContent(), /4 pump screws|pump screws/i);
  await page.goto(job);
});

test('a look passed by is possible, and stays shown with what it costs', async () => {
  await goOnTo(LOOK_PASSED_BY, 'looked');
  const pass = page.locator('[data-part="buttons"] button[data-record*="passed_by"]');
  await screen.tap(page, pass);
  const settle = page.locator(`[data-key="passed ${LOOK_PASSED_BY}"]`);
  await settle.waitFor();
  await screen.tap(page, screen.main(page));
  await page.waitForFunction(
    (key) => /reaching it costs/i.test(document.querySelector(`[data-key="${key}"]`).textContent),
    `passed ${LOOK_PASSED_BY}`,
  );
  assert.match(await page.locator('[data-part="state"]').textContent(), /1 not looked at/);
});

test('a connection left off is caught by the gate', async () => {
  await goOnTo(LEFT_OFF, 'make');
  // Everything else that is still on the list is done, whatever the order asks for first.
  const listed = await page.locator('[data-step]').evaluateAll(
    (all) => all.map((one) => JSON.parse(one.dataset.step)),
  );
  const others = listed.filter((one) => one.thing !== LEFT_OFF);
  assert.ok(others.length > 0, 'something is to be done after what is left off');
  for (const one of others) await screen.outOfOrder(page, job, one.thing, one.verb);
  assert.equal((await screen.asked(page)).thing, LEFT_OFF);
  await page.goto(`${job}/gate`);
  assert.match(await page.locator('h1').textContent(), /Not yet: 2 open/);
  const gate = await page.locator('[data-part="gate"]').textContent();
  assert.match(gate, /shift cap fit/i);
  assert.match(gate, /shift clamp screw/i);
  assert.equal(await page.getByRole('button', { name: /^All (home|of these)/ }).count(), 0);
  const shut = await run(['gate', 'kelp-outboard-1', '--garage', place.folder]);
  assert.equal(shut.code, 1, shut.out);
  assert.match(shut.out, /shift cap fit/i);
});

test('mended, all home, checked, and started', async () => {
  const before = await screen.seen(page);
  await screen.tap(page, page.locator(`li[data-key$=" ${LEFT_OFF}"] button[data-record]`).first());
  await screen.tap(
    page,
    page.locator(`li[data-key$=" ${LOOK_PASSED_BY}"] button[data-record]`).first(),
  );
  assert.ok((await screen.seen(page)) > before);
  // Home is one thing; what is asked before cranking is another, and one tap answers it.
  assert.match(await page.locator('h1').textContent(), /All home, \d+ to check/);
  const gate = await page.locator('[data-part="gate"]').textContent();
  assert.match(gate, /Tools, rags/);
  assert.match(gate, /outboard gear oil: filled/i);
  assert.match(gate, /In water, never dry|in water, never dry/);
  await screen.tap(page, page.getByRole('button', { name: 'All of these checked: first start' }));
  assert.match(await page.locator('[data-part="pass"]').textContent(), /no tell-tale/i);
  await page.locator('form.say[data-start] input').fill('tell-tale within seconds, all gears');
  await screen.tap(page, page.getByRole('button', { name: 'Started' }));
});

test('it does not start: what was undone, the nearest first', async () => {
  await page.goto(`${job}/disturbed`);
  const lines = await page.locator('[data-part="disturbed"] .what').allTextContents();
  assert.ok(lines.length > 4, lines.join());
  assert.match(lines[0], /nothing comes off/);
  await screen.tap(page, page.getByRole('button', { name: 'Was not' }).first());
  assert.match(await page.locator('[data-part="disturbed"]').textContent(), /was not/);
});

test('looks, levels, and on the road', async () => {
  await page.goto(`${job}/gate?before=road`);
  const road = await page.locator('[data-part="gate"]').textContent();
  assert.match(road, /Cold again: dry/);
  assert.match(road, /level right, cold/);
  await screen.tap(page, page.getByRole('button', { name: 'All of these checked: on the road' }));
  await screen.tap(page, page.getByRole('button', { name: 'Handed over' }));
});

test('the record shows all of it', async () => {
  await page.goto(`${job}/record`);
  const record = await page.locator('[data-part="record"]').innerText();
  for (const expected of [
    /handed over/, /impeller/i, /taken back/, /shift clamp screw/i, /passed by/i,
    /tell-tale within seconds, all gears/, /gearcase off/i, /gearcase on/i, /shift cap fit/i,
  ]) {
    assert.match(record, expected);
  }
  const printed = await run(['record', 'kelp-outboard-1', '--garage', place.folder]);
  assert.equal(printed.code, 0, printed.err);
  assert.match(printed.out, /tell-tale within seconds, all gears/);
  assert.deepEqual(phone.troubles, []);
});
