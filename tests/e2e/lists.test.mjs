// A list from a spreadsheet, brought in by a page: looked at, taken in once, and had out again.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';

import * as screen from './screen.mjs';
import { close, garage, open, run } from './server.mjs';

const LIST = 'part;kind;count;place;tool;note;price\n'
  + 'cover;;;above;;keep flat;12\n'
  + 'cover;nut;3;above;socket 10;;1\n'
  + 'air box;screw;4;above;;;\n'
  + ';earth;2;above;;;\n'
  + ';earth;2;above;;;\n';
const SIZES = [[390, 844], [360, 740], [1280, 800]];

let place;
let server;
let chrome;
let phone;
let page;
let id;
let lists;

before(async () => {
  place = garage();
  const begun = await run(['begin', '--machine', 'Plover mower', '--garage', place.folder]);
  id = begun.out.trim();
  server = await open(null, place.folder);
  chrome = await screen.browser();
  phone = await screen.phone(chrome);
  page = phone.page;
  lists = new URL(`/job/${id}/lists`, server.address).href;
});

after(() => close(chrome, server, place));

const shown = () => page.locator('[data-list-shown]');
const says = (pattern) => page.waitForFunction(
  (text) => new RegExp(text).test(document.querySelector('[data-list-shown]').innerText), pattern,
);

async function paste(rows) {
  await page.locator('textarea[name="rows"]').fill(rows);
  await page.getByRole('button', { name: 'Look at it' }).tap();
}

async function lines() {
  const record = await run(['record', id, '--json', '--garage', place.folder]);
  return JSON.parse(record.out).lines;
}

test('the page of taking apart leads there', async () => {
  await page.goto(new URL(`/job/${id}/take`, server.address).href);
  await page.getByRole('link', { name: 'Lists' }).tap();
  await page.waitForURL(lists);
});

test('a list with mistakes says every one with its line, and cannot be taken in', async () => {
  await paste('part,kind,count\ncover,nut,many\ncover,clip,0\n');
  await says('line 2: [^]*line 3: ');
  assert.equal(await page.locator('[data-list-yes]').count(), 0);
  assert.deepEqual(await lines(), []);
});

test('a file is looked at first: order, doubles, columns that nobody knows', async () => {
  const file = { name: 'list.csv', mimeType: 'text/csv', buffer: Buffer.from(`\ufeff${LIST}`) };
  await page.locator('[data-list-file]').setInputFiles(file);
  await says('Counted before the first bolt');
  await page.locator('[data-list-off]').tap();
  await says('Cover off: 3 nuts');
  const text = await shown().innerText();
  assert.match(text, /4 rows, separated by semicolons/);
  assert.match(text, /line 6: says the same as line 5/);
  assert.match(text, /column "price"/);
  assert.deepEqual(await lines(), [], 'nothing is recorded by looking');
});

test('nothing is wider than the screen', async () => {
  for (const [width, height] of SIZES) {
    await page.setViewportSize({ width, height });
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    assert.ok(wide <= width, `${wide} wide at ${width}`);
    const low = await page.locator('main .row, main button, main .go').evaluateAll(
      (all) => all.filter((one) => one.offsetHeight < 64).map((one) => one.textContent),
    );
    assert.deepEqual(low, []);
  }
  await page.setViewportSize({ width: 390, height: 844 });
});

test('one tap takes it in; brought again, nothing is recorded twice', async () => {
  await page.locator('[data-list-yes]').tap();
  await says('Taken in: \\d+ entries');
  const first = await lines();
  const texts = first.map((line) => line.text);
  assert.ok(texts.includes('Cover off: 3 nuts (cover nuts)'), texts.join('\n'));
  await paste(LIST);
  await says('There is nothing to take in');
  assert.equal((await lines()).length, first.length);
  const state = await run(['state', id, '--garage', place.folder]);
  assert.match(state.out, /still off: 2 earths, 3 nuts, 4 screws, 2 parts/);
});

test('the list of the job comes out, and the machine file can be used', async () => {
  await page.goto(lists);
  const out = async (file) => {
    const [download] = await Promise.all([
      page.waitForEvent('download'), page.locator(`a[href$="${file}"]`).tap(),
    ]);
    const text = await new Response(await download.createReadStream()).text();
    return { name: download.suggestedFilename(), text };
  };
  const commas = await out('/list.csv');
  assert.equal(commas.name, `${id}.csv`);
  assert.match(commas.text, /cover,nut,3,cover nuts,above,socket 10/);
  assert.match((await out('list-semicolons.csv')).text, /cover;nut;3;cover nuts;above/);
  const machine = await out('machine.toml');
  assert.match(machine.text, /\[part\."air box"\]/);
  assert.deepEqual(phone.troubles, []);
});

test('a page of another site cannot bring a list', async () => {
  const status = await page.evaluate(async (to) => {
    const answer = await fetch(to, { method: 'POST', body: 'part\nx\n' });
    return answer.status;
  }, `/api/job/${id}/list?yes=1`);
  assert.equal(status, 415, 'what any site may send is no list');
});
