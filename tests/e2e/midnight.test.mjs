// A job that crosses midnight: kept in UTC, shown in the zone of whoever looks, the night no work.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';

import * as screen from './screen.mjs';
import { close, garage, open, run } from './server.mjs';

const MINUTE_MS = 60_000;
// Five hours and three quarters east: its midnight is nobody else's.
const ZONE = 'Asia/Kathmandu';

let place;
let server;
let chrome;

before(async () => {
  place = garage();
  server = await open('demo/kelp', place.folder);
  chrome = await screen.browser();
});

after(() => close(chrome, server, place));

// Says, from the page, what the list asks for, as if it had been tapped at these times.
async function steps(page, times) {
  const told = await page.evaluate(async (all) => {
    const id = location.pathname.split('/')[2];
    for (const [at, ms] of all.entries()) {
      const now = await (await fetch(`/api/job/${id}/screen`)).json();
      const { verb, thing, spot, tool } = now.next.buttons[0];
      const event = {
        id: `night-${at}`, sender: 'night', count: at + 1, seen: now.seen, said_at_ms: ms, verb,
        thing, spot, tool,
      };
      const answer = await fetch(`/api/job/${id}/events`, {
        method: 'POST', headers: { 'content-type': 'application/json' },
        body: JSON.stringify({ version: 1, events: [event] }),
      });
      const { answers } = await answer.json();
      if (answers[0].accepted !== 'new') return answers[0].message;
    }
    return '';
  }, times);
  assert.equal(told, '');
}

test('it carries the days of the place, and the night is no work', async () => {
  const context = await chrome.newContext({
    viewport: { width: 390, height: 844 }, timezoneId: ZONE, locale: 'en-GB',
  });
  const page = await context.newPage();
  await page.goto(server.address);
  // 23:50, 23:58, 00:06 there; the next morning at eight.
  const first = Date.UTC(2026, 2, 3, 18, 5);
  await steps(page, [0, 8, 16, 8 * 60 + 10].map((minutes) => first + minutes * MINUTE_MS));
  await page.goto(`${server.address}/record`);
  const times = await page.locator('ul.entries time').allTextContents();
  assert.deepEqual(times, [
    '3 Mar 2026, 23:50', '3 Mar 2026, 23:58', '4 Mar 2026, 00:06', '4 Mar 2026, 08:00',
  ]);
  // The wrong twin, the day of UTC, has all of the evening on one day.
  const utc = await page.locator('ul.entries time').evaluateAll(
    (all) => all.map((time) => time.dateTime.slice(0, 10)),
  );
  assert.deepEqual(utc, ['2026-03-03', '2026-03-03', '2026-03-03', '2026-03-04']);
  const worked = await page.locator('main').innerText();
  assert.match(worked, /about 16 min/, 'sixteen minutes of work, eight hours of night');
  const record = await run(['record', 'kelp-outboard-1', '--garage', place.folder]);
  assert.equal(record.code, 0, record.err);
  await context.close();
});
