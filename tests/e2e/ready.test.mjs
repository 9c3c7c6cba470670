// Why: the pressure side is never reached without its question, on a phone and on a laptop; and the
// pages around it can be used there.

import assert from 'node:assert/strict';
import { writeFileSync } from 'node:fs';
import path from 'node:path';
import test from 'node:test';

import { browser, phone, press, settled, seen } from './screen.mjs';
import { garage, open, root } from './server.mjs';

const MACHINE = `
machine = "Plover baler engine"
fixed = ["block"]
[spot.side]
[part."fuel rail"]
ways = [{ from = "side", minutes = 3 }]
[tie."rail inlet"]
kind = "union"
joins = ["fuel rail", "block"]
renew = ["copper washer"]
ways = [{ from = "side", tool = "spanner 19", minutes = 2 }]
[job]
off = ["fuel rail"]
`;

const sizes = [{ width: 390, height: 844 }, { width: 1280, height: 800 }];

test('the question stands in place of the button', { timeout: 120_000 }, async () => {
  const { folder, remove } = garage();
  const file = path.join(folder, 'baler.toml');
  writeFileSync(file, MACHINE);
  const served = await open(path.relative(root, file), path.join(folder, 'g'));
  const chrome = await browser();
  try {
    for (const viewport of sizes) {
      const { page, context, troubles } = await phone(chrome, viewport);
      await page.goto(served.address);
      const job = await page.evaluate(() => document.body.dataset.job);
      const base = new URL(`/job/${job}`, served.address).href;
      await page.goto(base);
      const wide = () => page.evaluate(
        () => document.documentElement.scrollWidth > document.documentElement.clientWidth,
      );
      assert.equal(await wide(), false, 'no scrolling to the side');
      if (viewport === sizes[0]) {
        assert.equal(await page.locator('[data-part="buttons"] .did.main').count(), 0);
        const answer = page.getByRole('button', { name: 'Measured' }).first();
        await press(page, answer);
        await page.locator('[data-part="buttons"] .did.main').first().waitFor();
      }
      for (const stage of ['size-up', 'make-ready']) {
        await page.goto(`${base}/day/${stage}`);
        assert.equal(await wide(), false, stage);
      }
      await page.goto(`${base}/day/size-up`);
      if (viewport === sizes[0]) {
        const before = await seen(page);
        await page.locator('form.say', { hasText: 'measured when it is cured' })
          .locator('input[name=note]').fill('starts within two turns');
        await page.locator('form.say', { hasText: 'measured when it is cured' })
          .locator('button').click();
        await settled(page, before);
      }
      await page.getByText('starts within two turns').first().waitFor();
      assert.deepEqual(troubles, []);
      await context.close();
    }
  } finally {
    await chrome.close();
    await served.end();
    remove();
  }
});
