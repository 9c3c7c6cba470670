// The Tarn from complaint to receipt: sized up with a part missing, the owner asked with a picture,
// made ready, left standing for a night, a stud broken, a look passed by, rounds of a joint, two
// gates, proof, handed over. The same on a phone and, by mouse and keys, on a laptop.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';

import { letters, pages } from './paper.mjs';
import { draw } from './photos.mjs';
import * as screen from './screen.mjs';
import { close, garage, open, run } from './server.mjs';

const JOB = 'tarn-camper-1';

let place;
let server;
let chrome;
let phone;
let page;
let job;

// `size` is what the browser shows, `touch` whether it is tapped or clicked.
export function day(size, touch) {
  before(async () => {
    place = garage();
    server = await open('demo/tarn', place.folder);
    job = server.address;
    chrome = await screen.browser();
    phone = await screen.phone(chrome, size, touch);
    page = phone.page;
    page.setDefaultTimeout(8_000);
    await page.addInitScript(() => { globalThis.print = () => {}; });
  });

  after(() => close(chrome, server, place));

  owner();
  night();
  road();
}

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

function owner() {
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

  test('what is being written stays in its own line when the page is brought up', async () => {
    const form = (name) => page.locator('details', {
      has: page.locator('summary', { hasText: new RegExp(`^${name}$`) }),
    }).locator('input').first();
    await unfold();
    await form('Add a code').fill('half a wo');
    const seen = await screen.seen(page);
    await command('note', JOB, 'symptom', 'shudders in first');
    await screen.settled(page, seen);
    assert.match(await text(), /shudders in first/);
    assert.equal(await form('Add a code').inputValue(), 'half a wo');
    assert.equal(await form('Add a symptom').inputValue(), '', 'the wrong twin fills every line');
    await form('Add a code').fill('');
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
    const buffer = await draw(page, 800, 600, 'F');
    const file = { name: 'fork.jpg', mimeType: 'image/jpeg', buffer };
    const before = await screen.seen(page);
    await point.locator('input[data-photos]').setInputFiles(file);
    await screen.settled(page, before);
    const shown = point.locator('.with-photos img');
    await shown.waitFor();
    await screen.tap(page, point.getByRole('button', { name: /^yes$/i }));
    assert.match(await text(), /yes/i);
    const told = page.locator('.point', { hasText: 'Told by whom' }).first();
    await screen.tap(page, told.getByRole('button', { name: 'By phone' }));
    await page.goto(`${job}/sheet/owner`);
    const line = page.locator('[data-part="paper"] li', { hasText: 'New release fork' });
    const drawn = await line.locator('img').elementHandle();
    await page.waitForFunction((img) => img.complete && img.naturalWidth > 0, drawn);
  });
}

function night() {
  test('the first step is done and taken back', async () => {
    await page.goto(job);
    const done = await screen.title(page);
    // By the keys of a wireless button, or by taps.
    const press = async (key, button) => {
      const before = await screen.seen(page);
      if (phone.touch) return screen.tap(page, button);
      // A key right after the buttons changed is ignored on purpose, as a tap is.
      await page.waitForTimeout(600);
      await page.keyboard.press(key);
      return screen.settled(page, before);
    };
    await press('Enter', screen.main(page));
    assert.notEqual(await screen.title(page), done);
    await press('Backspace', screen.takeBack(page));
    assert.equal(await screen.title(page), done);
  });

  test('the night comes with the gearbox out: do not start', async () => {
    await screen.hurry(page, job, 'clutch cover', 'off');
    const open = await command('gate', JOB);
    assert.equal(open.code, 1, 'nothing may be started now');
    await page.goto(`${job}/stop`);
    await screen.tap(page, page.getByRole('button', { name: /Left standing/ }).first());
    // The page goes to the sheet by itself.
    await page.waitForURL(/\/standing/);
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

  test('the whole way back is two pages that can be read at arm\'s length', async () => {
    await page.goto(`${job}/sheet/way-back`);
    assert.ok(await page.locator('.on-paper li').count() > 100, 'nearly all of it');
    for (const [paper, count] of Object.entries(await pages(page))) {
      assert.ok(count <= 2, `${paper}: ${count} pages`);
    }
    const { lines, beside } = await letters(page);
    assert.ok(lines >= 9.9 && beside >= 8.9, `${lines} and ${beside} points`);
  });

  test('a joint is tightened round by round', async () => {
    await page.goto(job);
    const rounds = page.locator('[data-part="action"] .joint');
    assert.match(await rounds.innerText(), /Round 1 of 3/);
    const card = await command('tighten', 'card', JOB, 'cover screws');
    assert.match(card.out, /Round 2: 12 N·m/);
    await screen.go(page.getByRole('link', { name: 'Rounds, order and wrench' }));
    await page.waitForURL(/joint/);
    assert.equal(await page.locator('svg.joint circle.head').count(), 6);
    for (const round of [1, 2, 3]) {
      const done = page.getByRole('button', { name: new RegExp(`^Round ${round} done`) });
      await screen.tap(page, done);
    }
    assert.match(await text(), /home/);
  });
}

function road() {
  test('a look is passed by', async () => {
    // Late in the day: what reaching it costs is worked out anew with every step after it.
    await screen.hurry(page, job, 'column joint screw', 'looked');
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
    const started = page.locator('form.say[data-start] input');
    await started.fill('fired at the third try, oil pressure up');
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
      const shown = ['/record', '/sheet/owner', '/day', '/day/size-up', '/day/road', '/gate'];
      for (const path of shown) {
        await page.goto(`${job}${path}`);
        const wide = await page.evaluate(() => document.documentElement.scrollWidth);
        assert.ok(wide <= size.width, `${path}: ${wide}`);
      }
    }
    assert.deepEqual(phone.troubles, []);
  });
}
