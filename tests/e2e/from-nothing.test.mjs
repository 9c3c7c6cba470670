// A job of 60 fixings on a machine that no file knows, on a small phone: from the page of today to
// the record. Every tap and every word that is typed is counted, and there may be few of them.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';

import { HANDFULS, answer, tooLate } from './chipper.mjs';
import * as screen from './screen.mjs';
import { close, garage, open, run } from './server.mjs';

const TAPS_MAX = 120;
const NAMES_MAX = 15;
const GLOVE_PX = 64;
// After so many the person has had enough; the rest of the order stays as it came off.
const QUESTIONS_MAX = 16;
const PERSON_MS = 400;
const STEPS_MAX = 90;
const BELOW = { below: true };
const VIEW = { width: 360, height: 740 };

let place;
let server;
let chrome;
let phone;
let page;
const taps = {};
const names = [];
const home = [];
let stage = 'begin';

before(async () => {
  place = garage();
  server = await open(null, place.folder);
  chrome = await screen.browser();
  phone = await screen.phone(chrome, VIEW);
  page = phone.page;
});

after(() => close(chrome, server, place));

const count = () => Object.values(taps).reduce((sum, one) => sum + one, 0);

// One tap of a person, counted, on something that can be seen without scrolling unless it is said
// that it cannot.
async function tap(where, { below = false } = {}) {
  const target = typeof where === 'string' ? page.locator(where).first() : where;
  await target.waitFor();
  if (!below) {
    const box = await target.boundingBox();
    assert.ok(box.y >= 0 && box.y + box.height <= VIEW.height + 1, `${where} is on the screen`);
  }
  taps[stage] = (taps[stage] ?? 0) + 1;
  await target.tap();
}

// A word that is typed or spoken, with the tap that it takes to begin.
async function say(where, text, how) {
  await tap(where, how);
  names.push(text);
  await page.keyboard.type(text);
  await page.keyboard.press('Enter');
}

const seen = () => screen.seen(page);
const settled = (number) => screen.settled(page, number);

// Two taps that record are never as close together as a glove's double tap, which is ignored.
async function recorded(work) {
  const number = await seen();
  await work();
  await settled(number);
  await page.waitForTimeout(PERSON_MS);
}

// As many taps as it takes: the kind, and for more than two the number.
async function kind(word, pieces) {
  const button = page.locator(`[data-compose] [data-kind="${word}"]`);
  if ((await button.count()) === 0) {
    await tap('[data-more-kinds]');
    await tap(`[data-panel="more-kinds"] [data-kind="${word}"]`, BELOW);
    assert.equal(await button.count(), 1, 'from now on it has a button of its own');
  } else {
    await tap(button.first());
  }
  if (pieces === 2) await tap(button.first());
  else if (pieces > 2) await tap(`[data-compose] [data-count="${pieces}"]`);
}

async function handful({ from, name, kinds, alone }) {
  if (from) await tap(`.places [data-from="${from}"]`);
  if (name) await say('[data-compose] input[name="name"]', name);
  for (const [word, pieces] of Object.entries(kinds)) await kind(word, pieces);
  await recorded(() => tap(alone ? '[data-only]' : '[data-off]'));
}

test('the page of today: one sentence, one button; two questions', async () => {
  await page.goto(server.address);
  assert.equal(await page.locator('main .sentence').count(), 1);
  assert.equal(await page.locator('main :is(a.go, button)').count(), 1);
  await tap('a.go');
  await say('[name="machine"]', 'Bramble chipper');
  // The first answer led to the second.
  names.push('feed roller bearing');
  await page.keyboard.type('feed roller bearing');
  await tap('.did.main');
  await page.waitForURL(/\/take$/);
});

test('by the handful, in few taps; the tray takes at most seven and no word', async () => {
  stage = 'take apart';
  for (const button of await page.locator('.kinds > button, .places button').all()) {
    const box = await button.boundingBox();
    if (box) assert.ok(box.height >= GLOVE_PX, `a glove hits it: ${box.height}`);
  }
  for (const one of HANDFULS) {
    const before = count();
    await handful(one);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    assert.ok(wide <= VIEW.width, `nothing is wider than the screen: ${wide}`);
    const few = one.name === 'tray' ? 7 + 1 : 9;
    assert.ok(count() - before <= few, `${one.name}: ${count() - before} taps`);
  }
  const pieces = HANDFULS.flatMap((one) => Object.values(one.kinds));
  assert.equal(pieces.reduce((sum, one) => sum + one, 0), 60);
  const last = await page.locator('[data-part="taken-last"]').textContent();
  assert.match(last, /Feed roller off: 5 screws; kept/);
});

test('what is tapped twice or wrongly is taken back by one tap', async () => {
  const before = count();
  const lines = await page.locator('li[data-key^="taken "]').count();
  await kind('nut', 1);
  await tap('[data-undo]');
  assert.equal(await page.locator('[data-compose] .counted').count(), 0);
  await kind('nut', 1);
  await recorded(() => tap('[data-only]'));
  await recorded(() => page.locator('[data-undo]').tap());
  assert.equal(await page.locator('li[data-key^="taken "]').count(), lines);
  // A mistake of the test's own is no tap of the job.
  taps[stage] -= count() - before;
});

test('all off: questions, one tap each, with enough for now', async () => {
  stage = 'questions';
  await recorded(() => tap('button.turn', BELOW));
  await page.waitForURL(/\/questions$/);
  for (let number = 0; number < QUESTIONS_MAX; number += 1) {
    const first = page.locator('.answers button').first();
    if ((await first.count()) === 0) break;
    const asked = JSON.parse(await first.getAttribute('data-record'));
    const choice = answer(asked.more);
    assert.equal(await page.locator('.enough').count(), 1);
    await recorded(() => tap(`.answers button[data-record*='"note":"${choice}"']`));
    assert.match(await page.locator('[data-part="state"]').textContent(), /^Then /);
  }
  assert.ok(taps.questions > 3, `${taps.questions} questions`);
});

test('back together: handfuls by one tap, last looks by one tap, nothing too late', async () => {
  stage = 'put back';
  await tap('.buttons a.go, .buttons .enough');
  await page.waitForURL(/\/now$/);
  for (let number = 0; number < STEPS_MAX; number += 1) {
    const main = page.locator('[data-part="buttons"] button.did.main').first();
    if ((await main.count()) === 0) break;
    const covers = await main.getAttribute('data-covers');
    const record = [JSON.parse(await main.getAttribute('data-record'))].flat();
    const steps = covers ? JSON.parse(covers) : record;
    for (const step of steps) {
      if (step.verb === 'on' || step.verb === 'make') home.push(step.thing);
    }
    await recorded(() => tap(main));
  }
  assert.ok(home.length >= 34, `everything went home: ${home.length}`);
  assert.deepEqual(tooLate(home), []);
});

test('a plain wrong order is caught by the same judge', () => {
  assert.notDeepEqual(tooLate([...home].reverse()), []);
});

test('gate, first start, handed over', async () => {
  stage = 'first start';
  await tap('.buttons a.go');
  assert.match(await page.locator('h1').textContent(), /All home/);
  const checked = (what) => page.getByRole('button', { name: `All of these checked: ${what}` });
  await recorded(() => tap(checked('first start'), BELOW));
  await recorded(() => say('form.say[data-start] input', 'ran, no noise', BELOW));
  await tap(page.getByRole('link', { name: /^Before the road/ }), BELOW);
  await page.waitForURL(/before=road/);
  await recorded(() => tap(page.getByRole('button', { name: /on the road$/ }).first(), BELOW));
  await recorded(() => tap(page.getByRole('button', { name: 'Handed over' }), BELOW));
  const record = await run(['record', 'bramble-chipper-feed-roller-bearing-1',
    '--garage', place.folder]);
  assert.equal(record.code, 0, record.err);
  for (const expected of [/tray/i, /ran, no noise/, /handed over/i]) {
    assert.match(record.out, expected);
  }
});

test('few taps and few words in all', () => {
  console.log(`taps: ${count()} ${JSON.stringify(taps)}; names: ${names.length}`);
  assert.ok(count() <= TAPS_MAX, `${count()} taps: ${JSON.stringify(taps)}`);
  assert.ok(names.length <= NAMES_MAX, `${names.length} names`);
  assert.deepEqual(phone.troubles, []);
});
