// The page of phones: keeps the code and the list up to date, shuts out.

import { load, takeOver } from './screen.js';

const LOOK_MS = 2000;

export function start(say) {
  const page = document.querySelector('[data-phones]');
  if (!page) return;
  const job = page.dataset.phones || null;
  document.addEventListener('click', async (click) => {
    const { shutOut, another } = click.target.closest('button')?.dataset ?? {};
    if (shutOut !== undefined) await send('shut-out', { name: shutOut }, say);
    else if (another !== undefined) await send('code', { job, another: true }, say);
    else return;
    await refresh();
  });
  setInterval(() => {
    if (document.visibilityState === 'visible') refresh();
  }, LOOK_MS);
}

async function refresh() {
  const loaded = await load(location.href);
  if (loaded?.ok) takeOver(loaded.page);
}

async function send(what, asked, say) {
  try {
    const answer = await fetch(`/api/phones/${what}`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ version: 1, ...asked }),
    });
    if (!answer.ok) say((await answer.json()).message);
  } catch {
    say('The server is not reached; nothing was changed.');
  }
}
