// Photos taken while the network is gone stay on the phone, over a page that is closed, and are
// sent once when the server is heard again; until then nothing reads as kept.

import assert from 'node:assert/strict';
import path from 'node:path';
import { after, before, test } from 'node:test';
import { networkInterfaces } from 'node:os';

import { draw, taken } from './photos.mjs';
import * as screen from './screen.mjs';
import { close, garage, open, run } from './server.mjs';

const every = Object.values(networkInterfaces()).flat();
const lan = every.find((one) => one.family === 'IPv4' && !one.internal)?.address;
const options = { skip: lan ? false : 'this machine is on no network' };
if (!lan) console.log('skipped: photos that wait, since this machine is on no network');

let place;
let server;
let chrome;
let home;
let phone;
let page;
let id;
let job;

before(async () => {
  if (!lan) return;
  place = garage();
  const begun = await run(
    ['begin', '--machine', 'Plover pump', '--after', 'the seal', '--garage', place.folder],
  );
  id = begun.out.trim();
  server = await open(null, place.folder, ['--phones']);
  chrome = await screen.browser();
  home = await screen.phone(chrome);
  await home.page.goto(new URL(`/phones?job=${id}`, server.address).href);
  await home.page.waitForFunction(() => document.querySelector('[data-typed]')?.textContent);
  const code = await home.page.locator('[data-typed]').textContent();
  const address = new URL(server.address);
  address.hostname = lan;
  job = new URL(`/job/${id}`, address).href;
  phone = await screen.phone(chrome);
  page = phone.page;
  await page.goto(`${address.origin}/in#${code}`);
  await page.waitForURL(`${job}**`);
  await page.goto(`${job}/photos`);
});

after(() => close(chrome, server, place));

const unsent = (pattern) => page.waitForFunction(
  (text) => new RegExp(text).test(document.querySelector('[data-unsent]').textContent), pattern,
);
const left = () => page.locator('[data-photos-left]').innerText();

async function photos() {
  const record = await run(['record', id, '--json', '--garage', place.folder]);
  return JSON.parse(record.out).lines.filter((line) => /picture/i.test(line.text)).length;
}

async function bring(letters) {
  const files = [];
  for (const letter of letters) {
    const drawn = await draw(page, 800, 600, letter);
    const buffer = taken(drawn, new Date(), 'nowhere');
    files.push({ name: `${letter}.jpg`, mimeType: 'image/jpeg', buffer });
  }
  await page.locator('input[data-photos][multiple]').setInputFiles(files);
}

test('without the network they wait, and nothing reads as kept', options, async () => {
  assert.equal(await page.evaluate(() => window.isSecureContext), false);
  await phone.context.setOffline(true);
  await bring(['M', 'L']);
  await unsent('2 photos not sent yet');
  await page.waitForFunction(
    () => /2 not yet sent/.test(document.querySelector('[data-photos-told]').textContent),
  );
  assert.match(await left(), /M\.jpg: not yet sent; it stays on this phone[^]*L\.jpg/);
  assert.equal(/\bkept\b/.test(await page.locator('body').innerText()), false);
  assert.equal(await photos(), 0);
  const folder = process.env.LASTBOLT_PICTURES;
  if (folder) await page.screenshot({ path: path.join(folder, 'photos-wait.png') });
});

test('the page is closed and another of the job opened: both are sent, each once', options,
  async () => {
  await page.close();
  await phone.context.setOffline(false);
  page = await phone.context.newPage();
  page.on('pageerror', (error) => phone.troubles.push(String(error)));
  await page.goto(`${job}/take`);
  await unsent('^all sent$');
  await page.waitForFunction(() => Number(document.body.dataset.seen) >= 2);
  assert.equal(await photos(), 2);
  await page.goto(`${job}/photos`);
  const rows = page.locator('[data-part="photos"] .photo-row');
  assert.equal(await rows.count(), 2);
  assert.equal(await left(), '');
});

test('the server is killed while they wait: sent when it is back', options, async () => {
  await server.end('SIGKILL');
  await unsent('server not reached');
  await bring(['E']);
  await unsent('1 photo not sent yet');
  const { port } = new URL(server.address);
  server = await open(null, place.folder, ['--phones', '--port', port]);
  await unsent('^all sent$');
  await page.waitForFunction(() => Number(document.body.dataset.seen) >= 3);
  assert.equal(await photos(), 3);
});

test('what is no picture stays listed with its reason until it is put away', options, async () => {
  const words = { name: 'words.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('no picture') };
  await page.locator('input[data-photos][multiple]').setInputFiles([words]);
  await page.getByText('This is not a picture').waitFor();
  await page.goto(`${job}/photos`);
  await page.getByText('1 not brought in').waitFor();
  await page.getByRole('button', { name: 'Put it away' }).tap();
  await page.waitForFunction(
    () => document.querySelector('[data-photos-left]').childElementCount === 0,
  );
  await page.reload();
  assert.equal(await left(), '');
  assert.deepEqual(phone.troubles, []);
});
