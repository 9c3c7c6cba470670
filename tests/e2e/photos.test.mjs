// Photos on a phone: brought in out of order and sorted in by the time they were taken, marked by a
// tap, and beside the step when it goes back. LASTBOLT_PICTURES=DIR keeps what was seen.

import assert from 'node:assert/strict';
import path from 'node:path';
import { after, before, test } from 'node:test';

import { draw, taken } from './photos.mjs';
import * as screen from './screen.mjs';
import { close, garage, open, root, run } from './server.mjs';

const MINUTE_MS = 60_000;
const PLACE = 'a place that is nobody\'s business';
const SIZES = [[390, 844], [360, 740]];

let place;
let server;
let chrome;
let phone;
let page;
let job;
let began;

const lastbolt = async (...words) => {
  const ran = await run([...words, '--garage', place.folder]);
  assert.equal(ran.code, 0, ran.err);
  return ran.out.trim();
};

before(async () => {
  place = garage();
  const id = await lastbolt('begin', '--machine', 'Plover pump', '--after', 'the seal');
  await lastbolt('took', id, 'tray', '--tie', 'nut:3', '--from', 'above');
  await lastbolt('took', id, 'box', '--tie', 'plug', '--tie', 'screw:2', '--from', 'above');
  began = Date.now();
  // The job's folder, as seen from the demos: that is what `open` is given.
  server = await open(path.relative(root, path.join(place.folder, 'jobs', id)), place.folder);
  job = server.address;
  chrome = await screen.browser();
  phone = await screen.phone(chrome);
  page = phone.page;
});

after(() => close(chrome, server, place));

async function photo(letter, minutes, width = 2000, height = 1500) {
  const drawn = await draw(page, width, height, letter);
  const buffer = taken(drawn, new Date(began + minutes * MINUTE_MS), PLACE);
  return { name: `${letter}.jpg`, mimeType: 'image/jpeg', buffer };
}

async function bring(files, told) {
  await page.locator('input[data-photos][multiple]').setInputFiles(files);
  await page.waitForFunction(
    (text) => document.querySelector('[data-photos-told]').textContent === text,
    told,
  );
}

const rows = () => page.locator('[data-part="photos"] .photo-row');

// Nothing wider than the screen, and every row and button high enough for a glove.
async function fits(name) {
  for (const [width, height] of SIZES) {
    await page.setViewportSize({ width, height });
    for (const colorScheme of ['light', 'dark']) {
      await page.emulateMedia({ colorScheme });
      const wide = await page.evaluate(() => document.documentElement.scrollWidth);
      assert.ok(wide <= width, `${name}: ${wide} wide at ${width}`);
      const low = await page.locator('main .row, main button, main .go, main .pick').evaluateAll(
        (all) => all.filter((one) => one.offsetParent && one.offsetHeight < 48)
          .map((one) => one.textContent),
      );
      assert.deepEqual(low, [], name);
      const folder = process.env.LASTBOLT_PICTURES;
      const file = `${name}-${width}-${colorScheme}.png`;
      if (folder) await page.screenshot({ path: path.join(folder, file) });
    }
  }
  await page.emulateMedia({ colorScheme: 'light' });
  await page.setViewportSize({ width: 390, height: 844 });
}

test('brought in out of order, they stand by the time they were taken', async () => {
  await page.goto(`${job}/photos`);
  assert.match(await page.locator('[data-part="photos"]').innerText(), /No photos yet/);
  const files = [await photo('M', -30), await photo('L', 60, 1500, 2000), await photo('E', -45)];
  await bring(files, '3 of 3 brought in');
  await page.waitForFunction(
    () => document.querySelectorAll('[data-part="photos"] .photo-row').length === 3,
  );
  const texts = await rows().evaluateAll((all) => all.map((row) => row.innerText));
  assert.match(texts[0], /before .Tray off/);
  assert.match(texts[2], /after .Box off/);
  const times = await rows().locator('time').evaluateAll(
    (all) => all.map((time) => new Date(time.dateTime).getTime()),
  );
  const wanted = [-45, -30, 60].map((m) => Math.floor((began + m * MINUTE_MS) / 1000) * 1000);
  assert.deepEqual(times, wanted);
  await fits('photos');
});

test('what is kept is small, upright and knows no place', async () => {
  const address = await rows().first().getAttribute('href');
  const name = new URL(address, job).searchParams.get('photo');
  const kept = await page.evaluate(async (file) => {
    const answer = await fetch(file);
    const blob = await answer.blob();
    const picture = await createImageBitmap(blob);
    const text = new TextDecoder('latin1').decode(await blob.arrayBuffer());
    return { width: picture.width, height: picture.height, text };
  }, `${job}/photo/${name}`);
  assert.deepEqual([kept.width, kept.height], [1600, 1200]);
  assert.ok(!kept.text.includes('Exif') && !kept.text.includes(PLACE));
});

test('what is no picture is said, with its name, and the others come in', async () => {
  const words = { name: 'words.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('no picture') };
  const heic = Buffer.from('\0\0\0\x18ftypheic\0\0\0\0mif1heic', 'latin1');
  const files = [words, { name: 'phone.heic', mimeType: 'image/heic', buffer: heic }];
  await bring([...files, await photo('M', -30)], '1 of 3 brought in, 2 not');
  const left = await page.locator('[data-photos-left]').innerText();
  assert.match(left, /words\.jpg: This is not a picture/);
  assert.match(left, /phone\.heic: .*set to take JPEG/);
});

test('a tap hangs a tag on what is there', async () => {
  await page.goto(`${job}/photos`);
  await rows().first().tap();
  const shot = page.locator('[data-shot] img');
  await shot.waitFor();
  let box = await shot.boundingBox();
  assert.ok(box.width >= 388, `over the full width: ${box.width}`);
  await fits('photo');
  box = await shot.boundingBox();
  await page.touchscreen.tap(box.x + box.width * 0.25, box.y + box.height * 0.6);
  await page.getByText('What is there?').waitFor();
  const choices = page.locator('button.row');
  assert.match(await choices.first().innerText(), /box/, 'what came off last comes first');
  await fits('choose');
  const before = await screen.seen(page);
  const length = () => page.evaluate(() => history.length);
  const long = await length();
  const gone = [];
  page.on('request', (one) => { if (one.isNavigationRequest()) gone.push(one.url()); });
  await choices.filter({ hasText: 'plug' }).tap();
  await page.waitForURL((url) => !url.searchParams.has('x'));
  assert.equal(await screen.seen(page), before + 1);
  assert.equal(gone.length, 1, `gone to once: ${gone}`);
  assert.equal(await length(), long, 'the page that asked is not gone back to');
  await page.locator('.on-photo .tag.hollow').waitFor();
  box = await shot.boundingBox();
  const point = await page.locator('.on-photo .point').boundingBox();
  const part = (at, length) => Math.round((at / length) * 100);
  assert.equal(part(point.x + point.width / 2 - box.x, box.width), 25);
  assert.equal(part(point.y + point.height / 2 - box.y, box.height), 60);
  await fits('tagged');
});

test('a number plate is not exported', async () => {
  const here = page.url();
  const name = new URL(here).searchParams.get('photo');
  const onRecord = async () => {
    await page.goto(`${job}/record`);
    const found = await page.locator(`.photo-row[href*="${name}"]`).count();
    await page.goto(here);
    return found;
  };
  assert.equal(await onRecord(), 1);
  await screen.tap(page, page.getByRole('button', { name: 'Don\'t export' }));
  await page.getByText('Not exported.').waitFor();
  assert.equal(await onRecord(), 0);
  await screen.tap(page, page.getByRole('button', { name: 'Export it after all' }));
  assert.equal(await onRecord(), 1);
});

test('at put-back the photo stands beside the step', async () => {
  await lastbolt('all-off', new URL(job).pathname.split('/').pop());
  await page.goto(job);
  assert.match(await screen.title(page), /box/i);
  const beside = page.locator('[data-before]');
  await beside.waitFor();
  assert.match(await beside.innerText(), /Photo of what goes with it/);
  assert.equal(await beside.locator('.tag.hollow').count(), 1, 'the plug is still off');
  await page.locator('[data-before] img').evaluate((img) => img.decode());
  await fits('beside');
  // Home and not looked at: its tag is half filled, and larger, as the look is about it.
  await screen.tap(page, screen.main(page));
  await page.getByText('Photo with its mark').waitFor();
  assert.equal(await beside.locator('.tag.half.here').count(), 1);
  await fits('look');
  await screen.tap(page, screen.main(page));
  await page.getByText('The last photo before it came off').waitFor();
  assert.equal(await beside.locator('.tag').count(), 0, 'nothing is marked on that one');
  assert.deepEqual(phone.troubles, []);
});
