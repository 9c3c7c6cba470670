// What stands in a machine file is corrected on its sheet; the job's own file stays as it is.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';

import * as screen from './screen.mjs';
import { close, garage, open, run } from './server.mjs';

const JOB = 'kelp-outboard-1';

let place;
let server;
let chrome;
let phone;
let page;

before(async () => {
  place = garage();
  server = await open('demo/kelp', place.folder);
  chrome = await screen.browser();
  phone = await screen.phone(chrome);
  page = phone.page;
});

after(() => close(chrome, server, place));

test('another name and another count, in a few taps', async () => {
  await page.goto(`${server.address}/list?show=all`);
  const row = (name) => page.locator(`li[data-key="${name}"] a.row`);
  const sheet = page.locator('#sheet [data-sheet-body]');
  const corrects = async (name) => {
    await row(name).tap();
    await sheet.getByText('Name it, count it anew').tap();
    await sheet.getByText('What it is called').waitFor();
  };
  await corrects('leg screws');
  await sheet.locator('input[name="note"]').first().fill('long leg screws');
  const before = await screen.seen(page);
  await sheet.getByRole('button', { name: 'Call it so' }).tap();
  await screen.settled(page, before);
  await row('long leg screws').waitFor();
  assert.equal(await row('leg screws').count(), 0);
  await corrects('long leg screws');
  await screen.tap(page, sheet.getByRole('button', { name: '5', exact: true }));
  await row('long leg screws').filter({ hasText: '5 screws' }).waitFor();
  const exported = await run(['export', JOB, '--garage', place.folder]);
  assert.match(exported.out, /long leg screws/);
  assert.doesNotMatch(exported.out, /"leg screws"/);
  assert.deepEqual(phone.troubles, []);
});
