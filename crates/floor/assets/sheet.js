// Sheets: a thing's page shown over the one that is open. Each is an address of its own, so that
// the browser's back button puts it away.

import { load } from './screen.js';
import { makeLocal } from './times.js';

const sheet = () => document.getElementById('sheet');
let depth = 0;
let before = null;

export function isOpen() {
  return !sheet().hidden;
}

export function start(say) {
  document.addEventListener('click', (click) => {
    if (click.defaultPrevented || click.button !== 0 || click.ctrlKey || click.metaKey) return;
    const link = click.target.closest('a[data-sheet]');
    const close = click.target.closest('a[data-close]');
    if (close && isOpen()) {
      click.preventDefault();
      putAway();
    } else if (link) {
      click.preventDefault();
      follow(link, say);
    } else if (isOpen() && click.target === sheet()) {
      putAway();
    }
  });
  addEventListener('popstate', (pop) => arrive(pop.state, say));
}

// Puts away every sheet that lies open, at once.
export function putAway() {
  if (depth > 0) history.go(-depth);
}

async function follow(link, say) {
  const address = link.getAttribute('href');
  if (!(await show(address, say))) return;
  depth += 1;
  history.pushState({ sheet: address, depth }, '', address);
}

async function arrive(state, say) {
  depth = state?.depth ?? 0;
  if (state?.sheet) {
    await show(state.sheet, say);
  } else {
    hide();
  }
}

// Draws the open sheet anew, as the job has gone on.
export async function refresh(say) {
  if (isOpen() && history.state?.sheet) await show(history.state.sheet, say);
}

async function show(address, say) {
  const loaded = await load(address);
  const body = loaded?.page.querySelector('[data-sheet-body]');
  if (!body) {
    const sentence = loaded?.page.querySelector('.sentence')?.textContent;
    const away = 'The server cannot be reached just now; what you record waits here until it is '
      + 'sent.';
    say(sentence ?? away);
    return false;
  }
  const fresh = document.importNode(body, true);
  makeLocal(fresh);
  const old = sheet().querySelector('[data-sheet-body]');
  if (old?.outerHTML !== fresh.outerHTML) sheet().replaceChildren(fresh);
  if (sheet().hidden) {
    before = document.activeElement;
    sheet().hidden = false;
    document.body.classList.add('under');
  }
  sheet().scrollTop = old ? sheet().scrollTop : 0;
  return true;
}

function hide() {
  if (!isOpen()) return;
  sheet().hidden = true;
  sheet().replaceChildren();
  document.body.classList.remove('under');
  before?.focus?.({ preventScroll: true });
}
