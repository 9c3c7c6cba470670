// The Tarn from complaint to receipt: sized up with a part missing, made ready, left standing for a
// night, a stud broken, a look passed by, rounds of a joint, two gates, proof, handed over.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';

import * as screen from './screen.mjs';
import { close, garage, open, run } from './server.mjs';

const JOB = 'tarn-camper-1';

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
  page.setDefaultTimeout(8_000);
  await page.addInitScript(() => { globalThis.print = () => {}; });
});

after(() => close(chrome, server, place));

const text = () => page.locator('main').innerText();
const command = (...words) => run([...words, '--garage', place.folder]);

// What is folded on a long page is opened, as a person would.
const unfold = () => page.evaluate(() => {
  for (const one of document.querySelectorAll('details')) one.open = true;
});

// Writes into the line of a button and sends it.
async function write(button, words) {
  await unfold();
  const has = page.getByRole('button', { name: button });
  const form = page.locator('form.say', { has }).first();
  await form.locator('input').first().fill(words);
  await screen.tap(page, form.locator('button[type="submit"]'));
}

test('sized up: complaint, what proves it cured, a part that is not there yet', async () => {
  await page.goto(`${job}/day/size-up`);
  const all = await text();
  assert.match(all, /clutch slips uphill/);
  assert.match(all, /bites and holds in a high gear/);
  assert.match(all, /About \d+ h/);
  assert.match(all, /What comes off, and why/);
  assert.match(all, /Hazards of this job/);
  await write('Add a symptom', 'smells burnt after the hill');
  assert.match(await text(), /Symptom: smells burnt after the hill/);
  await unfold();
  const seal = page.locator('.point', { hasText: /^Rear seal/i }).first();
  assert.match(await seal.innerText(), /Without it|first step needs it/);
  await unfold();
  await seal.locator('input').first().fill('from the dealer, comes Friday');
  await screen.tap(page, seal.locator('button[type="submit"]').first());
  assert.match(await text(), /from the dealer, comes Friday/);
});

test('the owner is asked, and says yes by phone', async () => {
  const asked = await command(
    'note', JOB, 'ask owner', 'New release fork while it is open?', '--price', '85,00',
    '--minutes', '20',
  );
  assert.equal(asked.code, 0, asked.err);
  await page.reload();
  const point = page.locator('.point', { hasText: 'New release fork while it is open?' }).first();
  assert.match(await point.innerText(), /85,00/);
  await screen.tap(page, point.getByRole('button', { name: /^yes$/i }));
  assert.match(await text(), /yes/i);
});

test('the night comes with the gearbox out: do not start', async () => {
  await screen.hurry(page, job, 'clutch cover', 'off');
  const open = await command('gate', JOB);
  assert.equal(open.code, 1, 'nothing may be started now');
  await page.goto(`${job}/stop`);
  await screen.tap(page, page.getByRole('button', { name: /Left standing/ }).first());
  const sheet = await command('sheet', JOB, 'standing');
  assert.match(sheet.out, /Do not start/i);
  assert.match(sheet.out, /No gearbox/i);
  await page.goto(new URL(job).origin);
  assert.match(await text(), /Standing[\s\S]*Tarn/);
  await page.goto(job);
  await screen.tap(page, page.getByRole('button', { name: 'Taken up again' }));
});

test('a stud breaks, what it stops is said, and it is settled', async () => {
  const broke = await command('broke', JOB, 'cover screws', 'stud broke');
  assert.equal(broke.code, 0, broke.err);
  await page.goto(job);
  assert.match(await page.locator('[data-part="state"]').innerText(), /Broke/);
  await page.goto(`${job}/broken`);
  assert.match(await text(), /What stops/);
  await screen.tap(page, page.getByRole('button', { name: 'Got it out' }));
});

test('at the bench the new part is held against the old', async () => {
  await screen.hurry(page, job, 'cover screws', 'make');
  await page.goto(`${job}/day/bench`);
  const all = await text();
  assert.match(all, /Clutch plate/);
  assert.match(all, /Same ports|Same plug|Same length/);
});

test('a look is passed by, a joint is tightened round by round', async () => {
  await page.goto(job);
  const rounds = page.locator('[data-part="action"] .joint');
  assert.match(await rounds.innerText(), /Round 1 of 3/);
  const card = await command('tighten', 'card', JOB, 'cover screws');
  assert.match(card.out, /Round 2: 12 N·m/);
  await page.getByRole('link', { name: 'Rounds, order and wrench' }).tap();
  await page.waitForURL(/joint/);
  assert.equal(await page.locator('svg.joint circle.head').count(), 6);
  for (const round of [1, 2, 3]) {
    await screen.tap(page, page.getByRole('button', { name: new RegExp(`^Round ${round} done`) }));
  }
  assert.match(await text(), /home/);
  await screen.passOneLook(page, job);
  await page.goto(job);
  assert.match(await page.locator('[data-part="state"]').innerText(), /1 not looked at/);
});

test('all home but that look: the first gate is passed with a reason, then started', async () => {
  await screen.hurryToFirstStart(page, job);
  await page.goto(`${job}/gate`);
  assert.match(await page.locator('h1').innerText(), /Not yet: /);
  await page.locator('form.say[data-gate] input').fill('seen from the side with a mirror');
  await screen.tap(page, page.locator('form.say[data-gate] button'));
  await page.locator('form.say[data-start] input').fill('fired at the third try, oil pressure up');
  await screen.tap(page, page.getByRole('button', { name: 'Started' }));
});

test('leak look, then the covers; then the road, the proof, handed over', async () => {
  await screen.hurryToFirstStart(page, job);
  const off = await command('state', JOB, '--json');
  assert.equal(off.code, 0);
  await page.goto(`${job}/gate?before=road`);
  await page.locator('form.say[data-gate] input').fill('looked at once more, levels right');
  await screen.tap(page, page.locator('form.say[data-gate] button'));
  await page.goto(`${job}/day/road`);
  assert.match(await text(), /bites and holds in a high gear/i);
  await screen.tap(page, page.getByRole('button', { name: 'Yes, proved' }).first());
  const over = await command('did', JOB, '--do', 'finished');
  assert.equal(over.code, 0, over.err);
  await page.goto(new URL(job).origin);
  assert.match(await text(), /Handed over[\s\S]*Tarn/);
});

test('record and receipt say all of it', async () => {
  const record = await command('record', JOB);
  for (const wanted of ['smells burnt', 'stud broke', 'mirror', 'Left standing']) {
    assert.ok(record.out.toLowerCase().includes(wanted.toLowerCase()), `${wanted} in the record`);
  }
  const owner = await command('sheet', JOB, 'owner');
  assert.match(owner.out, /clutch slips uphill/i);
  assert.match(owner.out, /rear seal/i);
  for (const size of [{ width: 390, height: 844 }, { width: 1280, height: 800 }]) {
    await page.setViewportSize(size);
    for (const path of ['/record', '/sheet/owner', '/day', '/day/size-up', '/day/road', '/gate']) {
      await page.goto(`${job}${path}`);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      assert.ok(wide <= size.width, `${path}: ${wide}`);
    }
  }
  assert.deepEqual(phone.troubles, []);
});
