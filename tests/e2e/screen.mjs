// The working screen as a person with gloves uses it: taps, and waiting for what can be seen.

import { existsSync } from 'node:fs';
import { chromium } from 'playwright-core';

const SEEN_TIME_MS = 15_000;
// A tap right after the buttons changed is ignored on purpose; then it is tapped again.
const IGNORED_TIME_MS = 600;

export async function browser() {
  const executablePath = process.env.CHROMIUM ?? '/usr/bin/chromium';
  if (!existsSync(executablePath)) throw new Error(`no Chromium at ${executablePath}`);
  return chromium.launch({
    executablePath,
    args: [
      '--no-sandbox', '--disable-gpu', '--disable-background-networking',
      '--disable-component-update', '--no-first-run',
    ],
  });
}

export async function phone(chrome, viewport = { width: 390, height: 844 }, touch = true) {
  const context = await chrome.newContext({ viewport, hasTouch: touch, isMobile: touch });
  const page = await context.newPage();
  const troubles = [];
  page.on('pageerror', (error) => troubles.push(String(error)));
  return { page, context, troubles, touch };
}

// A finger, or the mouse where there is no touch.
export async function go(button, options) {
  const touch = await button.page().evaluate(() => navigator.maxTouchPoints > 0);
  return touch ? button.tap(options) : button.click(options);
}

export const title = (page) => page.locator('[data-part="action"] [data-title]').textContent();
export const seen = (page) => page.evaluate(() => Number(document.body.dataset.seen));

// The draft of the main button: what the screen asks for next; null where it asks for nothing.
export async function asked(page) {
  const main = page.locator('[data-part="buttons"] button.did.main');
  if ((await main.count()) === 0) return null;
  // The last round of a joint closes it too: the closing is what counts.
  return [JSON.parse(await main.first().getAttribute('data-record'))].flat().at(-1);
}

// Waits until everything said here is recorded and the page shows it.
export async function settled(page, before) {
  await page.waitForFunction(
    (number) => Number(document.body.dataset.seen) > number
      && document.querySelector('[data-unsent]').textContent === 'all sent',
    before,
    { timeout: SEEN_TIME_MS },
  );
}

// Taps until the page has taken it: something is on its way, or recorded already.
export async function press(page, button) {
  const before = await seen(page);
  const taken = (within) => page
    .waitForFunction(
      (number) => Number(document.body.dataset.seen) > number
        || /not sent yet/.test(document.querySelector('[data-unsent]').textContent),
      before,
      { timeout: within, polling: 20 },
    )
    .then(() => true, () => false);
  await go(button);
  if (await taken(IGNORED_TIME_MS)) return before;
  // What was taken and goes while it is tapped again was taken: the page says so then.
  await go(button, { timeout: IGNORED_TIME_MS }).catch(() => {});
  // On a busy machine it is sent at once and the page that shows it takes its time.
  if (await taken(SEEN_TIME_MS)) return before;
  throw new Error('a tap was not taken');
}

// Taps and waits until it is recorded and shown.
export async function tap(page, button) {
  await settled(page, await press(page, button));
}

export const main = (page) => page.locator('[data-part="buttons"] button.did.main').first();
export const takeBack = (page) => page.locator('[data-part="buttons"] [data-take-back]').first();

// Opens the sheet of a thing from the long list and records something about it there.
export async function outOfOrder(page, job, thing, verb) {
  await page.goto(`${job}/list?show=all`);
  await page.locator(`li[data-key="${thing}"] a.row`).tap();
  const sheet = page.locator('#sheet [data-sheet-body]');
  await sheet.waitFor();
  const buttons = sheet.locator('button[data-record]');
  for (const button of await buttons.all()) {
    if (JSON.parse(await button.getAttribute('data-record')).verb === verb) {
      await tap(page, button);
      return page.goto(job);
    }
  }
  throw new Error(`no button for ${verb} on the sheet of ${thing}`);
}

// Does what the list asks for until it asks for this, as fast as the server takes it; tells
// whether it came. With no thing it goes on to the end of the list, or to the look for leaks, which
// wants the machine run first.
export async function does(page, wanted, verb, most = 400) {
  return page.evaluate(async ([thing, what, steps]) => {
    const id = location.pathname.split('/')[2];
    let last = '';
    for (let at = 0; at < steps; at += 1) {
      const now = await (await fetch(`/api/job/${id}/screen`)).json();
      const button = now.next?.buttons[0];
      if (!button) return thing === null;
      if (thing === null && button.verb === 'looked' && button.thing === 'leak look') return true;
      if (thing !== null && button.verb === what && (thing === '' || button.thing === thing)) {
        return true;
      }
      // What is asked for once more is not done by one tap.
      if (last === `${button.verb} ${button.thing}`) return false;
      last = `${button.verb} ${button.thing}`;
      const event = {
        id: `fast-${now.seen}-${at}`, sender: 'fast', count: now.seen + 1, seen: now.seen,
        said_at_ms: Date.now(), verb: button.verb, thing: button.thing, spot: button.spot,
        tool: button.tool,
      };
      await fetch(`/api/job/${id}/events`, {
        method: 'POST', headers: { 'content-type': 'application/json' },
        body: JSON.stringify({ version: 1, events: [event] }),
      });
    }
    return false;
  }, [wanted, verb, most]);
}

export async function hurry(page, job, thing, verb) {
  await page.goto(job);
  if (!(await does(page, thing, verb))) throw new Error(`${verb} ${thing} never came`);
  await page.goto(job);
}

export async function hurryToFirstStart(page, job) {
  await page.goto(job);
  await does(page, null, null);
  await page.goto(job);
}

// Goes on to the next last look and passes it by.
export async function passOneLook(page, job) {
  await page.goto(job);
  if (!(await does(page, '', 'looked'))) throw new Error('no look came');
  await page.goto(job);
  const buttons = page.locator('[data-part="buttons"]');
  await tap(page, buttons.getByRole('button', { name: /Pass it by/ }));
}
