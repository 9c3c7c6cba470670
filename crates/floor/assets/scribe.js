// The helper's screen: each tap counts one; one tap more records what was counted.

import { Hand, plural, words } from './hand.js';
import { openPanel, startPanels } from './panel.js';

let hand;
let tools;

const all = (selector) => document.querySelectorAll(selector);
const one = (selector) => document.querySelector(selector);

export function start(given) {
  if (!one('[data-scribe]')) return;
  tools = given;
  hand = new Hand(`count.${tools.job}`, null);
  hand.now.mode ??= 'before';
  one('[data-compose]').addEventListener('click', tap);
  startPanels({ pick: { 'more-kinds': pickKind, 'more-places': pickPlace } });
  document.addEventListener('lastbolt:taken-over', show);
  document.addEventListener('lastbolt:taken-back', (back) => {
    const last = one('[data-last]');
    if (last?.dataset.last === back.detail) last.removeAttribute('data-last');
    show();
  });
  show();
}

function tap(click) {
  const button = click.target.closest('button');
  if (!button) return;
  const data = button.dataset;
  if (click.detail > 0) button.blur();
  if (data.kind !== undefined) hand.add(data.kind, 1);
  else if (data.from !== undefined) pickPlace(data.from);
  else if (data.mode !== undefined) hand.change((now) => { now.mode = data.mode; });
  else if (data.moreKinds !== undefined) openPanel('more-kinds');
  else if (data.morePlaces !== undefined) openPanel('more-places');
  else if (data.undo !== undefined && hand.undo()) click.stopPropagation();
  else if (data.counted !== undefined) counted();
  show();
}

function pickKind(kind) {
  const buttons = Array.from(all('[data-compose] [data-kind]')).reverse();
  const has = buttons.some((button) => button.dataset.kind === kind);
  const free = buttons.find((button) => hand.count(button.dataset.kind) === 0);
  if (!has) (free ?? buttons[0]).dataset.kind = kind;
  hand.add(kind, 1);
  show();
}

function pickPlace(place) {
  hand.change((now) => { now.place = place; });
  show();
}

// Before the first bolt each kind is an entry; what came off is one handful.
function counted() {
  const { counts, mode, place } = hand.now;
  if (counts.length === 0) {
    tools.say('Nothing is counted yet: one tap for each.');
    return;
  }
  const spot = place || null;
  if (mode === 'off') {
    tools.record(hand.entry(false, false), words(counts));
  } else {
    for (const { kind, count } of counts) {
      tools.record({ verb: 'expected', spot, pieces: count, more: { kind } }, words(counts));
    }
  }
  tools.say(`${words(counts)}${place ? `, ${place}` : ''}: noted.`);
  hand.clear();
  hand.change((now) => { now.mode = mode; });
  hand.before = [];
}

function show() {
  const { now } = hand;
  for (const button of all('[data-compose] [data-kind]')) {
    const count = hand.count(button.dataset.kind);
    button.querySelector('b').textContent = count > 0 ? String(count) : '';
    button.querySelector('span').textContent = plural(button.dataset.kind, Math.max(1, count));
    button.classList.toggle('counted', count > 0);
  }
  for (const button of all('[data-from]')) {
    button.setAttribute('aria-pressed', String(button.dataset.from === now.place));
  }
  const other = one('[data-more-places]');
  const has = !now.place || one(`.places [data-from="${CSS.escape(now.place)}"]`);
  other.textContent = has ? 'other' : now.place;
  other.setAttribute('aria-pressed', String(!has));
  for (const button of all('[data-mode]')) {
    button.setAttribute('aria-pressed', String(button.dataset.mode === now.mode));
  }
  const title = now.mode === 'off' ? 'These came off' : 'Counted';
  one('[data-counted]').replaceChildren(title, small(words(now.counts)));
  showUndo();
}

function showUndo() {
  const undo = one('[data-undo]');
  const taps = hand.before.length > 0;
  const last = one('[data-last]');
  undo.hidden = !taps && !last;
  if (taps || !last) delete undo.dataset.takeBack;
  else undo.dataset.takeBack = last.dataset.last;
  undo.replaceChildren('Take that back', small(taps ? 'the last tap' : last?.dataset.text ?? ''));
}

function small(text) {
  return Object.assign(document.createElement('small'), { textContent: text });
}
