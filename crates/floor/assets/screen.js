// Takes over the server's newest page, part by part, so that nothing is drawn in two places and
// what did not change stands still.

import { patch } from './patch.js';
import { makeLocal } from './times.js';

const LOAD_TIME_MS = 8000;
// What somebody writes; a file that was chosen cannot be put back by a script.
const WRITTEN = 'input:not([type="file"])';

// Fetches a page of this server; null where it cannot be reached or says no.
export async function load(address) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), LOAD_TIME_MS);
  try {
    const answer = await fetch(address, { signal: stop.signal, cache: 'no-store' });
    const text = await answer.text();
    const page = new DOMParser().parseFromString(text, 'text/html');
    return { ok: answer.ok, page };
  } catch {
    return null;
  } finally {
    clearTimeout(timer);
  }
}

// Puts each changed part of the newer page in place of the old one.
export function takeOver(page) {
  for (const part of page.querySelectorAll('[data-part]')) {
    const old = document.querySelector(`[data-part="${part.dataset.part}"]`);
    if (!old) continue;
    const fresh = document.importNode(part, true);
    makeLocal(fresh);
    if (old.dataset.part === 'top') keepMessages(old, fresh);
    if (old.innerHTML === fresh.innerHTML) continue;
    if (old.dataset.patch === undefined) replace(old, fresh);
    else patch(old, fresh);
  }
  fit();
  document.title = page.title;
  const seen = Number(page.body.dataset.seen);
  if (Number.isFinite(seen)) document.body.dataset.seen = String(seen);
  if (page.body.dataset.mayChange) document.body.dataset.mayChange = '1';
  else delete document.body.dataset.mayChange;
}

// The action with its cautions comes first: where it does not fit above the buttons, the two
// lines next to it make room.
export function fit() {
  const bands = document.querySelector('.work .bands');
  if (!bands) return;
  document.body.classList.remove('snug', 'closer', 'tight', 'overfull');
  const room = window.innerHeight - bands.getBoundingClientRect().top - window.scrollY;
  for (const name of ['snug', 'closer', 'tight', 'overfull']) {
    if (bands.scrollHeight <= room + 2) return;
    document.body.classList.add(name);
  }
}

// What this browser itself says at the top is not the server's.
function keepMessages(old, fresh) {
  for (const name of ['unsent', 'notice', 'refused', 'who-records']) {
    const mine = old.querySelector(`[data-${name}]`);
    fresh.querySelector(`[data-${name}]`)?.replaceWith(mine ? mine.cloneNode(true) : '');
  }
}

// Keeps the rows that are the same, so that focus and scrolling stay where they are.
function replace(old, fresh) {
  const focused = old.contains(document.activeElement) ? keyOf(document.activeElement) : null;
  const typed = new Map();
  for (const input of old.querySelectorAll(WRITTEN)) {
    if (input.value) typed.set(lineOf(input), input.value);
  }
  // What somebody has unfolded stays unfolded.
  const unfolded = new Set([...old.querySelectorAll('details[open]')].map(foldKey));
  for (const fold of fresh.querySelectorAll('details')) {
    if (unfolded.has(foldKey(fold))) fold.open = true;
  }
  const rows = new Map();
  for (const row of old.querySelectorAll('[data-key]')) rows.set(row.dataset.key, row);
  for (const row of fresh.querySelectorAll('[data-key]')) {
    const same = rows.get(row.dataset.key);
    if (same && same.outerHTML === row.outerHTML) row.replaceWith(same);
  }
  old.replaceChildren(...fresh.childNodes);
  const action = old.dataset.part !== 'action';
  for (const input of old.querySelectorAll(WRITTEN)) {
    const value = typed.get(lineOf(input));
    if (value && action) input.value = value;
  }
  if (focused) old.querySelector(`[data-key="${CSS.escape(focused)}"] a`)?.focus();
}

// Which line it is: of several on a page each keeps its own words.
function lineOf(input) {
  const { record = '', say = '', gate = '' } = input.closest('form')?.dataset ?? {};
  return [keyOf(input) ?? '', record, say, gate, input.name || 'note'].join('\n');
}

function foldKey(fold) {
  return `${keyOf(fold) ?? ''} ${fold.querySelector('summary')?.textContent ?? ''}`;
}

function keyOf(element) {
  return element.closest('[data-key]')?.dataset.key ?? null;
}

// Shows at once that something was recorded, before the server has said so: the action gives way
// to the next line of the list. The server's page then takes its place.
export function goOn(draft, text, covers = [draft]) {
  const action = document.querySelector('[data-part="action"]');
  const buttons = document.querySelector('[data-part="buttons"]');
  for (const step of covers) tickRows(step);
  const shown = document.querySelector('.did.main')?.dataset.record;
  const first = shown ? [JSON.parse(shown)].flat()[0] : null;
  if (!action || !buttons || !first || draft.of || !sameStep(first, draft)) return;
  // An answer is no step: what it lets through comes with the server's page.
  if (draft.verb === 'ticked') return;
  // What is done with the first of them is on no list any more.
  for (const row of document.querySelectorAll('li:has(.ticked[data-step])')) {
    const step = JSON.parse(row.querySelector('[data-step]').dataset.step);
    if (covers.slice(1).some((one) => sameStep(one, step))) row.remove();
  }
  const row = nextRow();
  action.replaceChildren(paragraph('just waiting', `${text}: waiting to be sent.`));
  const main = buttons.querySelector('.did.main');
  buttons.querySelectorAll('.others .did').forEach((other) => other.remove());
  if (!row) {
    main?.remove();
    return;
  }
  const step = JSON.parse(row.querySelector('[data-step]').dataset.step);
  const what = row.querySelector('.what').textContent;
  const title = document.createElement('h2');
  title.className = 'big';
  title.textContent = what;
  action.append(title);
  const where = row.querySelector('.where');
  if (where) action.append(paragraph('from', where.textContent));
  const later = 'The rest about it comes with the next answer of the server.';
  action.append(paragraph('quiet later', later));
  const asks = row.querySelector('[data-asks-first]');
  if (asks) {
    // Its question comes first, and with the server's page.
    action.append(paragraph('prompt', row.querySelector('.where:last-child').textContent));
    main.remove();
  } else {
    main.dataset.record = JSON.stringify(step);
    delete main.dataset.covers;
    main.textContent = doneWords(what);
  }
  row.remove();
  const lines = document.querySelector('[data-part="near"] ul');
  const more = document.querySelector('[data-part="rest"] li:has([data-step])');
  if (lines && more) lines.append(more);
  fit();
}

// What was said here reads as kept only when the server has acknowledged all of it.
export function nowKept() {
  for (const line of document.querySelectorAll('.just.waiting, .stands.waiting')) {
    line.textContent = line.textContent.replace('waiting to be sent', 'kept');
    line.classList.remove('waiting');
  }
}

// Without the server the cautions of the next step are not here: that is said, not left out.
export function warnAway() {
  for (const line of document.querySelectorAll('.later')) {
    line.className = 'caution later';
    const word = Object.assign(document.createElement('strong'), { textContent: 'Caution ' });
    line.replaceChildren(word, 'the cautions of this step are with the server, which cannot be '
      + 'reached: see the plan or the machine file before you begin.');
  }
}

// "Leg screws: 4 screws out" has happened when 4 screws are out.
function doneWords(what) {
  const words = what.includes(': ') ? what.slice(what.lastIndexOf(': ') + 2) : what;
  return words.charAt(0).toUpperCase() + words.slice(1);
}

function nextRow() {
  return document.querySelector(
    '[data-part="near"] li:has([data-step]), [data-part="rest"] li:has([data-step])',
  );
}

function sameStep(a, b) {
  return a.verb === b.verb && a.thing === b.thing;
}

function tickRows(draft) {
  for (const link of document.querySelectorAll('[data-step]')) {
    const step = JSON.parse(link.dataset.step);
    if (!sameStep(step, draft) || link.classList.contains('ticked')) continue;
    link.classList.add('ticked');
    link.append(Object.assign(document.createElement('span'), {
      className: 'stands waiting',
      textContent: 'waiting to be sent',
    }));
  }
}

function paragraph(name, text) {
  return Object.assign(document.createElement('p'), { className: name, textContent: text });
}
