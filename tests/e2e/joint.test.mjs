// The card of a joint on a phone: another wrench by one tap, a round broken off at a screw and gone
// on with, a repaired thread, and how much of the page one tap moves: a long card is patched, never
// drawn anew.

import assert from 'node:assert/strict';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { after, before, test } from 'node:test';

import { draw } from './photos.mjs';
import * as screen from './screen.mjs';
import { close, garage, open, root, run } from './server.mjs';

const NODES_MAX = 200;
const SCREWS = 24;
const GARAGE = `[wrench.small]
range = "5-60 N·m"
class = "II A"
step = 1
calibrated = "2026-01-05"
[wrench.large]
range = "20-200 N·m"
class = "I B"
step = 1
`;

const JOB = 'machine_file = "machine.toml"\n[job]\noff = ["lid"]\n';

let place;
let server;
let chrome;
let phone;
let page;
let job;

before(async () => {
  place = garage();
  const files = path.join(place.folder, 'files');
  mkdirSync(files);
  writeFileSync(path.join(files, 'machine.toml'), machine());
  writeFileSync(path.join(files, 'job.toml'), JOB);
  writeFileSync(path.join(files, 'garage.toml'), GARAGE);
  server = await open(path.relative(root, files), path.join(place.folder, 'g'));
  job = server.address;
  const opened = [['lid screws', 'undo'], ['foot nuts', 'undo'], ['lid', 'off'], ['lid', 'on']];
  for (const [thing, verb] of opened) {
    const did = await command('did', 'bramble-press-1', thing, '--do', verb);
    assert.equal(did.code, 0, did.err);
  }
  chrome = await screen.browser();
  phone = await screen.phone(chrome);
  page = phone.page;
  page.setDefaultTimeout(8_000);
  await page.goto(`${job}/joint?thing=${encodeURIComponent('lid screws')}`);
});

after(() => close(chrome, server, place));

const text = () => page.locator('main').innerText();
const command = (...words) => run([...words, '--garage', path.join(place.folder, 'g')]);

function machine() {
  const at = Array.from({ length: SCREWS }, (_, i) => {
    const angle = (2 * Math.PI * i) / SCREWS;
    return `[${(200 * Math.cos(angle)).toFixed(2)}, ${(200 * Math.sin(angle)).toFixed(2)}]`;
  });
  return `machine = "Bramble press"
fixed = ["frame"]
[part.lid]
ways = [{ minutes = 1 }]
[tie."lid screws"]
kind = "screw"
count = ${SCREWS}
joins = ["lid", "frame"]
ways = [{ minutes = 9 }]
[tie."lid screws".tighten]
stages = ["by hand", "20 N·m", "40 N·m", "55 N·m"]
at = [${at.join(', ')}]
[tie."foot nuts"]
kind = "nut"
count = 4
joins = ["lid", "frame"]
ways = [{ minutes = 2 }]
tighten = { stages = ["20 N·m", "40 N·m"] }
`;
}

// Counts every node that comes or goes, with all in it, every attribute and text that changes.
async function counted(work) {
  await page.evaluate(() => {
    const count = (node) => 1 + [...node.childNodes].reduce((sum, one) => sum + count(one), 0);
    const tell = (records) => {
      for (const one of records) {
        const nodes = [...one.addedNodes, ...one.removedNodes];
        const own = one.type === 'childList' ? 0 : 1;
        globalThis.moved += nodes.reduce((sum, node) => sum + count(node), own);
      }
    };
    globalThis.moved = 0;
    globalThis.watcher = new MutationObserver(tell);
    globalThis.watcher.observe(document.documentElement, {
      subtree: true, childList: true, attributes: true, characterData: true,
    });
  });
  await work();
  // What the last answer still changes is counted too.
  await page.waitForTimeout(300);
  return page.evaluate(() => {
    globalThis.watcher.disconnect();
    return globalThis.moved;
  });
}

const tapped = (name) => counted(() => screen.tap(page, page.getByRole('button', { name })));

test('one tap a round moves little of the page', async () => {
  const most = await tapped('Round 1 done');
  assert.match(await text(), /Round 1: by hand\s+done/);
  assert.equal(await page.locator('svg.joint .stroke').count(), SCREWS);
  console.log(`# nodes moved by one tap, round of ${SCREWS}: ${most}`);
  assert.ok(most > SCREWS, `each screw got a stroke, but ${most}`);
  assert.ok(most <= NODES_MAX, `${most} nodes moved`);
});

test('another wrench by one tap, and it stays', async () => {
  const wrench = page.locator('.round.next .wrench').first();
  assert.match(await wrench.innerText(), /^small: set to 20 N·m/);
  assert.match(await text(), /Calibrat/);
  const moved = await tapped('Take large');
  assert.ok(moved <= NODES_MAX, `${moved} nodes moved`);
  assert.match(await wrench.innerText(), /^large: set to 20 N·m/);
  assert.match(await wrench.innerText(), /from memory/);
});

test('a borrowed wrench is named in words, with what it was set to; half of that records nothing',
  async () => {
  const before = await screen.seen(page);
  await page.getByText('With a borrowed wrench').tap();
  const fold = page.locator('details.borrowed');
  await fold.getByLabel('Which one, and whose').fill('  long one of the smithy ');
  await fold.getByRole('button').tap();
  await page.waitForTimeout(400);
  assert.equal(await screen.seen(page), before, 'nothing without what it was set to');
  await fold.getByLabel('Set to, as its scale reads').fill('15 lbf·ft');
  const round = (await fold.getByRole('button').innerText()).match(/Round \d+/)[0];
  await screen.tap(page, fold.getByRole('button'));
  const done = page.locator('li.round', { hasText: round });
  assert.match(await done.innerText(), /long one of the smithy, 15 lbf·ft/);
  // Taken back, the round is open again for what comes next.
  await screen.tap(page, page.locator('[data-part="buttons"] [data-take-back]'));
  assert.doesNotMatch(await text(), /smithy/);
});

test('stopped at a screw: a tap on the drawing leads there, one more records it', async () => {
  await page.locator('svg.joint [data-number="7"]').tap();
  const seven = page.locator('.broken-off button', { hasText: /^7$/ });
  assert.ok(await seven.evaluate((button) => button === document.activeElement));
  const moved = await counted(() => screen.tap(page, seven));
  console.log(`# nodes moved by one tap, one screw: ${moved}`);
  assert.ok(moved <= NODES_MAX, `${moved} nodes moved`);
  const all = await text();
  assert.match(all, /Screws 1 to 7 are done\. Go on with screw 8; then 9 to 24\./);
  assert.equal(await page.locator('svg.joint .head.next').count(), 1);
  const next = page.locator('svg.joint g', { has: page.locator('.head.next') });
  assert.equal(await next.getAttribute('data-number'), '8');
  const card = await command('tighten', 'card', 'bramble-press-1', 'lid screws', '--json');
  assert.equal(JSON.parse(card.out).resume.next, 8);
  // One screw further: what is folded out stays so, and hardly anything moves.
  const eight = page.locator('.broken-off button', { hasText: /^8$/ });
  const one = await counted(() => screen.tap(page, eight));
  assert.ok(one <= NODES_MAX, `${one} nodes moved`);
  assert.equal(await page.locator('.broken-off').getAttribute('open'), '');
  assert.match(await text(), /Go on with screw 9/);
});

test('drawn anew it would move too much: the count can tell', async () => {
  const moved = await counted(() => page.evaluate(() => {
    const part = document.querySelector('main');
    part.replaceChildren(...part.cloneNode(true).childNodes);
  }));
  assert.ok(moved > NODES_MAX, `only ${moved}`);
});

test('what was tapped is taken back on the card', async () => {
  const moved = await counted(() => screen.tap(page, screen.takeBack(page)));
  assert.ok(moved <= NODES_MAX, `${moved} nodes moved`);
  assert.match(await text(), /Go on with screw 8/);
});

test('a thread was repaired: two taps, on the card and in the record', async () => {
  await page.locator('.repairs summary').tap();
  await screen.tap(page, page.getByRole('button', { name: 'Thread insert' }));
  assert.match(await text(), /Thread repaired: thread insert/);
});

test('the last round closes it; the estimate is marked as one', async () => {
  for (const round of [2, 3, 4]) await tapped(new RegExp(`^Round ${round} done`));
  assert.match(await text(), /home/);
  assert.equal(await page.locator('svg.joint .stroke').count(), 4 * SCREWS);
  await page.locator('.study summary').tap();
  assert.match(await page.locator('.study').innerText(), /never a specification/);
  await page.goto(`${job}/record`);
  const record = await text();
  assert.match(record, /round 2: 20 N·m, large/);
  assert.match(record, /thread repaired: thread insert/);
  assert.deepEqual(phone.troubles, []);
});

test('a garage in pounds and feet: its unit beside the value as written', async () => {
  const file = path.join(place.folder, 'g', 'garage.toml');
  const before = readFileSync(file, 'utf8');
  const shown = '[display]\ndecimal = ","\nunits = "lbf ft"\n';
  const printed = () => command('tighten', 'card', 'bramble-press-1', 'lid screws');
  const twin = /Round 2: 20 N·m \(torque 14,8 lbf·ft\)/;
  await page.goto(`${job}/joint?thing=${encodeURIComponent('lid screws')}`);
  assert.match(await text(), /Round 2: 20 N·m/);
  assert.doesNotMatch(await text(), /lbf/, 'its own unit needs no twin');
  assert.doesNotMatch((await printed()).out, /lbf/);
  writeFileSync(file, before + shown);
  await page.reload();
  assert.match(await text(), twin);
  assert.match(await text(), /Round 1: by hand\n/, 'no value, no twin');
  assert.match((await printed()).out, twin);
  writeFileSync(file, before);
});

test('where nobody knows the holes: a tap a screw on a photo, then a drawing', async () => {
  const file = path.join(place.folder, 'feet.jpg');
  writeFileSync(file, await draw(page, 800, 600, 'F'));
  const kept = await command('photo', 'bramble-press-1', file);
  assert.equal(kept.code, 0, kept.err);
  await page.goto(`${job}/joint?thing=${encodeURIComponent('foot nuts')}`);
  assert.equal(await page.locator('svg.joint').count(), 0);
  await page.getByRole('link', { name: /Mark its screws on a photo/ }).tap();
  await page.waitForURL(/screws=/);
  const shot = page.locator('[data-shot] img');
  await shot.evaluate((img) => img.decode());
  const box = await shot.boundingBox();
  const marked = [[0.2, 0.2], [0.8, 0.2], [0.8, 0.8], [0.3, 0.5], [0.2, 0.8]];
  for (const [number, [x, y]] of marked.entries()) {
    const seen = await screen.seen(page);
    await page.touchscreen.tap(box.x + x * box.width, box.y + y * box.height);
    await screen.settled(page, seen);
    assert.match(await text(), new RegExp(`${number < 4 ? number + 1 : 4} of 4`));
    // One beside a nut is taken back and tapped again.
    if (number === 3) await screen.tap(page, page.getByRole('button', { name: 'Take the last' }));
  }
  // A tap more marks nothing.
  const seen = await screen.seen(page);
  await page.touchscreen.tap(box.x + 0.5 * box.width, box.y + 0.5 * box.height);
  await page.waitForTimeout(400);
  assert.equal(await screen.seen(page), seen);
  await page.getByRole('link', { name: 'To the joint' }).tap();
  await page.waitForURL(/joint/);
  assert.equal(await page.locator('svg.joint circle.head').count(), 4);
  assert.match(await text(), /Places as they were tapped on the photo/);
  // The same by command: a mark too many closes the drawing again.
  const name = kept.out.match(/[0-9a-f]{8,64}/)?.[0] ?? '';
  const marks = ['tighten', 'marks', 'bramble-press-1', 'foot nuts', name];
  const more = await command(...marks, '500,500');
  assert.match(more.out, /5 of 4 are marked/, more.err);
  const wrong = await command(...marks, '500;500');
  assert.match(wrong.err, /^error: place: /);
  assert.deepEqual(phone.troubles, []);
});
