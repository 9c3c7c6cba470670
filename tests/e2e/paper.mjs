// Sheets on paper as Chromium prints them: how many pages, and whether anything is cut off.

// A page at 96 dots an inch, without margins of 10 mm.
const INSIDE = { A4: 794 - 76, Letter: 816 - 76 };

// Prints the page that is open; gives the number of pages for each size.
export async function pages(page) {
  const counts = {};
  for (const format of Object.keys(INSIDE)) {
    const pdf = await page.pdf({ format, preferCSSPageSize: false });
    counts[format] = (pdf.toString('latin1').match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length;
  }
  return counts;
}

// What is wider than the paper, as tag names with their words; empty where nothing is cut off.
export async function cutOff(page) {
  const before = page.viewportSize();
  const wide = [];
  await page.emulateMedia({ media: 'print' });
  for (const [format, width] of Object.entries(INSIDE)) {
    await page.setViewportSize({ width, height: 1000 });
    const found = await page.evaluate((most) => [...document.querySelectorAll('main *')]
      .filter((one) => one.getClientRects().length && one.getBoundingClientRect().right > most + 1)
      .map((one) => `${one.tagName} ${one.textContent.slice(0, 40)}`), width);
    wide.push(...found.map((text) => `${format}: ${text}`));
  }
  await page.emulateMedia({ media: null });
  await page.setViewportSize(before);
  return wide;
}

// The smallest letters of a sheet on paper [points]: of its lines, and of what stands beside them.
export async function letters(page) {
  await page.emulateMedia({ media: 'print' });
  const sizes = await page.evaluate(() => {
    const smallest = (which) => [...document.querySelectorAll(which)]
      .map((one) => parseFloat(getComputedStyle(one).fontSize) * 0.75)
      .reduce((one, other) => Math.min(one, other), Infinity);
    return { lines: smallest('.on-paper li'), beside: smallest('.on-paper li *') };
  });
  await page.emulateMedia({ media: null });
  return sizes;
}
