// The page for taking apart: taps put a handful together, one more records it.

import { Hand, large, plural, sentence, words } from './hand.js';
import { openPanel, startPanels } from './panel.js';

// A second tap on the big button within this time is the glove's, not the person's.
const BOUNCE_MS = 700;

let hand;
let tools;
let recordedAt = 0;
// Entries of this page that the server's page does not show yet, in order.
let pending = [];

const root = () => document.querySelector('[data-take]');
const all = (selector) => document.querySelectorAll(selector);
const one = (selector) => document.querySelector(selector);

// `given` has what every page has: outbox, record, say, job.
export function start(given) {
  if (!root()) return;
  tools = given;
  hand = new Hand(tools.job, root().dataset.place);
  const compose = one('[data-compose]');
  compose.addEventListener('click', tap);
  startPanels({ pick: { 'more-kinds': pickKind, 'more-places': pickPlace } });
  const name = nameField();
  name.value = hand.now.name;
  name.addEventListener('input', () => {
    hand.now.name = name.value;
    hand.keep();
    show();
  });
  name.addEventListener('keydown', (key) => {
    if (key.key === 'Enter') name.blur();
  });
  document.addEventListener('keydown', keyed);
  tools.outbox.addEventListener('changed', showPending);
  document.addEventListener('lastbolt:taken-over', takenOver);
  document.addEventListener('lastbolt:taken-back', (back) => takenBack(back.detail));
  pending = tools.outbox.unsent().map((entry) => entry.event).filter(isHandful);
  bringKindsBack();
  show();
  showPending();
}

const nameField = () => one('[data-compose] input[name="name"]');
const isHandful = (event) => event.verb === 'took';

function tap(click) {
  const button = click.target.closest('button');
  if (!button) return;
  const data = button.dataset;
  // Enter is for the big button: no other one stays chosen after a tap.
  if (click.detail > 0) button.blur();
  if (data.kind !== undefined) hand.add(data.kind, 1);
  else if (data.count !== undefined) setCount(Number(data.count));
  else if (data.less !== undefined) less();
  else if (data.from !== undefined) hand.change((now) => { now.place = data.from; });
  else if (data.mark !== undefined) hand.mark(data.mark);
  else if (data.moreKinds !== undefined) openPanel('more-kinds');
  else if (data.morePlaces !== undefined) openPanel('more-places');
  else if (data.undo !== undefined) undo(click);
  else if (data.off !== undefined) took(true, false);
  else if (data.aside !== undefined) took(true, true);
  else if (data.only !== undefined) took(false, false);
  show();
}

function setCount(count) {
  if (hand.count(hand.now.active) > 0) hand.set(count);
  else tools.say('First the kind, then how many.');
}

function less() {
  if (hand.count(hand.now.active) > 0) hand.add(hand.now.active, -1);
}

function undo(click) {
  if (!hand.isEmpty() || hand.before.length > 0) {
    // What is not recorded yet is taken back here; else the click goes on to the page.
    if (hand.undo()) click.stopPropagation();
    nameField().value = hand.now.name;
  }
}

function took(withPart, aside) {
  if (performance.now() - recordedAt < BOUNCE_MS && hand.isEmpty()) return;
  if (!withPart && hand.now.counts.length === 0) {
    tools.say('Nothing is counted yet: tap the kinds that were undone.');
    return;
  }
  const draft = hand.entry(withPart, aside);
  const event = tools.record(draft, sentence(draft));
  if (!event) return;
  recordedAt = performance.now();
  pending.push(event);
  hand.clear();
  nameField().value = '';
  showPending();
}

function pickKind(kind) {
  keepKind(kind);
  hand.add(kind, 1);
  show();
}

function pickPlace(place) {
  hand.change((now) => { now.place = place; });
  show();
}

const kindsKey = () => `lastbolt.kinds.${tools.job}`;
const keptKinds = () => (localStorage.getItem(kindsKey()) ?? '').split('\n').filter(Boolean);

// A kind from the long list takes the place of the last one that is not in use, and stays there.
function keepKind(kind) {
  if (one(`[data-compose] [data-kind="${CSS.escape(kind)}"]`)) return;
  putKind(kind);
  localStorage.setItem(kindsKey(), [...keptKinds(), kind].slice(-4).join('\n'));
}

function bringKindsBack() {
  for (const kind of keptKinds()) {
    if (!one(`[data-compose] [data-kind="${CSS.escape(kind)}"]`)) putKind(kind);
  }
}

function putKind(kind) {
  const kinds = Array.from(all('[data-compose] [data-kind]')).reverse();
  const kept = keptKinds();
  const isFree = (word) => hand.count(word) === 0 && !kept.includes(word);
  const free = kinds.find((button) => isFree(button.dataset.kind));
  const button = free ?? kinds[0];
  button.dataset.kind = kind;
}

function show() {
  const { now } = hand;
  for (const button of all('[data-compose] [data-kind]')) showKind(button);
  for (const button of all('[data-from]')) {
    button.setAttribute('aria-pressed', String(button.dataset.from === now.place));
  }
  showPlace();
  for (const button of all('[data-mark]')) {
    button.setAttribute('aria-pressed', String(Boolean(now[button.dataset.mark])));
  }
  const active = hand.count(now.active) > 0;
  for (const button of all('[data-compose] [data-count], [data-compose] [data-less]')) {
    button.disabled = !active;
  }
  const main = one('[data-off]');
  const name = now.name.trim();
  const title = name ? `${large(name)} off` : 'Part off';
  main.replaceChildren(title, small(words(now.counts, hand.stands())));
  main.classList.toggle('long', title.length > 18);
  showUndo();
}

function showKind(button) {
  const { kind } = button.dataset;
  const count = hand.count(kind);
  button.querySelector('b').textContent = count > 0 ? String(count) : '';
  button.querySelector('span').textContent = plural(kind, Math.max(1, count));
  button.classList.toggle('counted', count > 0);
  button.classList.toggle('active', count > 0 && hand.now.active === kind);
}

// A place that has no button of its own stands on the last one.
function showPlace() {
  const { place } = hand.now;
  const other = one('[data-more-places]');
  const has = !place || one(`.places [data-from="${CSS.escape(place)}"]`);
  other.textContent = has ? 'other' : place;
  other.setAttribute('aria-pressed', String(!has));
}

function showUndo() {
  const button = one('[data-undo]');
  const taps = hand.before.length > 0;
  const last = lastEntry();
  button.hidden = !taps && !last;
  if (taps || !last) delete button.dataset.takeBack;
  else button.dataset.takeBack = last.id;
  button.replaceChildren('Take that back', small(taps ? 'the last tap' : last?.text ?? ''));
}

function lastEntry() {
  const own = pending.at(-1);
  if (own) return { id: own.id, text: sentence(own) };
  const last = one('[data-last]');
  return last ? { id: last.dataset.last, text: last.dataset.text } : null;
}

// What was recorded here stands as a line at once, and says whether the server has it.
function showPending() {
  const unsent = new Set(tools.outbox.entries().map((entry) => entry.event.id));
  const refused = new Set(tools.outbox.refused().map((entry) => entry.event.id));
  pending = pending.filter((event) => !refused.has(event.id));
  one('[data-pending]').replaceChildren(...pending.map((event) => {
    const how = unsent.has(event.id) ? 'waiting to be sent' : 'kept';
    const line = document.createElement('li');
    line.textContent = `${sentence(event)}; ${how}`;
    line.className = how === 'kept' ? 'kept' : 'waiting';
    return line;
  }));
  one('[data-part="taken-last"]').hidden = pending.length > 0;
  showUndo();
}

// The server's page shows what it has: those lines are not needed twice.
function takenOver() {
  const unsent = new Set(tools.outbox.entries().map((entry) => entry.event.id));
  pending = pending.filter((event) => unsent.has(event.id));
  showPending();
}

function takenBack(id) {
  pending = pending.filter((event) => event.id !== id);
  const last = one('[data-last]');
  if (last?.dataset.last === id) last.removeAttribute('data-last');
  showPending();
}

// Digits say how many of the last kind, letters begin the name.
function keyed(key) {
  if (key.defaultPrevented || key.ctrlKey || key.metaKey || key.altKey || key.repeat) return;
  if (key.target.closest?.('input, textarea, select') || one('.panel:not([hidden])')) return;
  if (/^[1-9]$/.test(key.key)) {
    key.preventDefault();
    setCount(Number(key.key));
    show();
  } else if (key.key === '-') {
    less();
    show();
  } else if (/^\p{L}$/u.test(key.key)) {
    nameField().focus();
  }
}

function small(text) {
  return Object.assign(document.createElement('small'), { textContent: text });
}
