// The code for a phone's camera, read by a reader that knows nothing of the one that drew it: off
// a picture of the screen, and off the blocks that the terminal shows.

import assert from 'node:assert/strict';
import { networkInterfaces } from 'node:os';
import { after, before, test } from 'node:test';
import jsqr from 'jsqr';
import { PNG } from 'pngjs';

import * as screen from './screen.mjs';
import { close, garage, open } from './server.mjs';

// A square of the terminal's drawing, in points: what a camera would have of it.
const SQUARE = 6;

const every = Object.values(networkInterfaces()).flat();
const lan = every.find((one) => one.family === 'IPv4' && !one.internal)?.address;
const options = { skip: lan ? false : 'this machine is on no network' };
if (!lan) console.log('skipped: the code is read, since this machine is on no network');

let place;
let server;
let chrome;
let home;
let origin;

before(async () => {
  if (!lan) return;
  place = garage();
  server = await open('demo/kelp', place.folder, ['--phones']);
  chrome = await screen.browser();
  const address = new URL(server.address);
  address.hostname = lan;
  ({ origin } = address);
});

after(() => close(chrome, server, place));

const read = ({ data, width, height }) => {
  const found = (jsqr.default ?? jsqr)(new Uint8ClampedArray(data), width, height);
  return found === null ? null : found.data;
};

// What a camera sees of the page of phones.
async function onScreen(dark = false) {
  await home.page.emulateMedia({ colorScheme: dark ? 'dark' : 'light' });
  return PNG.sync.read(await home.page.screenshot());
}

// The picture of lines of blocks, two rows of squares a line; dark is ink.
function fromBlocks(lines) {
  const rows = lines.flatMap((line) => {
    const cells = [...line];
    return ['\u2580\u2588', '\u2584\u2588'].map((ink) => cells.map((cell) => ink.includes(cell)));
  });
  const [width, height] = [rows[0].length * SQUARE, rows.length * SQUARE];
  const data = new Uint8ClampedArray(width * height * 4);
  for (let at = 0; at < width * height; at += 1) {
    const [x, y] = [at % width, Math.floor(at / width)];
    const dark = rows[Math.floor(y / SQUARE)][Math.floor(x / SQUARE)];
    data.set(dark ? [0, 0, 0, 255] : [255, 255, 255, 255], at * 4);
  }
  return { data, width, height };
}

const drawnLines = (text) => {
  const lines = text.split('\n').map((line) => line.replace(/\r$/, ''));
  const isDrawn = (line) => /[\u2580\u2584\u2588]/.test(line);
  const [from, to] = [lines.findIndex(isDrawn), lines.findLastIndex(isDrawn)];
  const wide = Math.max(...lines.slice(from, to + 1).map((line) => [...line].length));
  const blank = ' '.repeat(wide);
  const drawn = lines.slice(from, to + 1).map((line) => line.padEnd(wide));
  // The paper around it: a reader wants a margin.
  return [blank, blank, ...drawn, blank, blank].map((line) => `    ${line}    `);
};

const secretIs = (link) => {
  assert.ok(link?.startsWith(`${origin}/in#`), `the address of this network: ${link}`);
  const secret = decodeURIComponent(link.slice(`${origin}/in#`.length));
  assert.match(secret.replace(/[ -]/g, ''), /^[0-9A-HJKMNP-TV-Z]{12,}$/);
  return secret;
};

// Goes where a phone goes that has scanned this.
async function scanned(link) {
  const phone = await screen.phone(chrome);
  await phone.page.goto(link);
  return phone;
}

const isIn = (phone) => phone.page.waitForURL(`${origin}/job/**`);
const isRefused = (phone) => phone.page.waitForFunction(
  () => /lets nobody in/.test(document.querySelector('[data-said]')?.textContent),
);

test('the code of the terminal is read: this network, a secret, good for one phone', options,
  async () => {
  const link = read(fromBlocks(drawnLines(server.printed())));
  secretIs(link);
  const first = await scanned(link);
  await isIn(first);
  assert.equal(await first.page.evaluate(() => location.hash), '', 'no secret stays in sight');
  const second = await scanned(link);
  await isRefused(second);
  await first.context.close();
  await second.context.close();
});

test('the code on the page is read, light and dark; it lets one phone in, once', options,
  async () => {
  home = await screen.phone(chrome);
  await home.page.goto(new URL('/phones', server.address).href);
  await home.page.locator('.qr svg').waitFor();
  const link = read(await onScreen());
  const secret = secretIs(link);
  const typed = await home.page.locator('[data-typed]').textContent();
  const bare = (text) => text.replace(/[^0-9A-Z]/g, '');
  assert.equal(bare(secret), bare(typed), 'read or typed, it is the same secret');
  assert.equal(read(await onScreen(true)), link, 'black on white in the dark too');
  const first = await scanned(link);
  await isIn(first);
  const second = await scanned(link);
  await isRefused(second);
  await home.page.waitForFunction(
    (old) => document.querySelector('[data-typed]').textContent !== old, typed,
  );
  const next = read(await onScreen());
  assert.notEqual(next, link, 'another one stands there for the next phone');
  secretIs(next);
  await first.context.close();
  await second.context.close();
});

test('the wrong twins: a code without its corner is not read, another secret lets nobody in',
  options, async () => {
  const picture = await onScreen();
  const good = read(picture);
  const box = await home.page.locator('.qr svg').boundingBox();
  const [left, top] = [Math.round(box.x), Math.round(box.y)];
  for (let y = top; y < top + box.height / 2; y += 1) {
    picture.data.fill(255, (y * picture.width + left) * 4,
      (y * picture.width + left + Math.round(box.width / 2)) * 4);
  }
  assert.equal(read(picture), null);
  const stranger = await scanned(good.replace(/.$/, (last) => (last === '7' ? '8' : '7')));
  await isRefused(stranger);
  await stranger.context.close();
});
