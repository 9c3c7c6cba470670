// Wires a page: taps become entries, entries are sent until they are acknowledged, and the
// server's newest page is taken over whenever the job has gone on.

import * as away from './away.js';
import * as begin from './begin.js';
import * as clock from './clock.js';
import * as garage from './garage.js';
import * as joint from './joint.js';
import * as keys from './keys.js';
import * as letIn from './let-in.js';
import * as lists from './lists.js';
import { Outbox } from './outbox.js';
import * as person from './person.js';
import * as phones from './phones.js';
import * as photos from './photos.js';
import * as print from './print.js';
import { fit, goOn, load, nowKept, takeOver, warnAway } from './screen.js';
import * as sheet from './sheet.js';
import { listen } from './stream.js';
import * as scribe from './scribe.js';
import * as take from './take.js';
import * as together from './together.js';
import { makeLocal } from './times.js';

// A second tap within this time after the buttons changed was meant for the ones before.
const TOO_SOON_MS = 350;
const NOTICE_MS = 8000;
const GO_ON_MS = 2000;

const job = document.body.dataset.job;
const outbox = job ? new Outbox(job) : null;
let changedAt = -TOO_SOON_MS;
let lastTap = null;
let noticeTimer = 0;
let refreshing = false;
let refreshAgain = false;
let whenSent = '';
// Takes back that the page goes elsewhere.
let stayHere = () => {};

makeLocal(document);
sheet.start(say);
keys.start();
begin.start(say);
garage.start(say);
away.start();
letIn.start();
phones.start(say);
print.start();
if (outbox) start();

function start() {
  document.addEventListener('click', tap);
  document.addEventListener('submit', submit);
  outbox.addEventListener('changed', showOutbox);
  outbox.addEventListener('recorded', recorded);
  outbox.addEventListener('refused', refresh);
  outbox.addEventListener('say', (said) => say(said.detail));
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') refresh();
  });
  addEventListener('pageshow', (show) => {
    if (show.persisted) refresh();
  });
  listen(job, seen(), {
    record: (record) => outbox.isRecorded(record.id),
    screen: (newest, mayChange) => {
      const better = document.body.dataset.mayChange && !mayChange;
      if (newest > seen() || (newest === seen() && better)) refresh();
    },
    here: () => outbox.back(),
    away: () => outbox.look(),
  });
  person.start(job, sheet.putAway);
  const given = { job, outbox, record, say };
  clock.start(refresh);
  joint.start();
  take.start(given);
  scribe.start(given);
  lists.start(given);
  photos.start({
    job, outbox, record: (draft) => outbox.record(draft, seen()), changed: showOutbox,
  });
  showOutbox();
  fit();
  addEventListener('resize', fit);
  outbox.soon(0);
}

function seen() {
  return Number(document.body.dataset.seen) || 0;
}

function tap(click) {
  const put = click.target.closest('[data-put-away]');
  const again = click.target.closest('[data-send-again]');
  const button = click.target
    .closest('button[data-record], button[data-take-back], button[data-pieces]');
  if (put) outbox.putAway(put.dataset.putAway);
  if (again) outbox.sendAgain(again.dataset.sendAgain);
  if (!button || !joint.isSaid(button)) return;
  const place = button.closest('#sheet') ? 'sheet' : 'page';
  if (place === 'page' && performance.now() - changedAt < TOO_SOON_MS) return;
  if (button.dataset.takeBack) {
    if (takeBack(button.dataset.takeBack)) goThere(button);
    return;
  }
  const drafts = draftsOf(button);
  const note = document.querySelector('[data-part="action"] [data-note]');
  if (note?.value.trim() && button.classList.contains('main') && place === 'page') {
    drafts[0].note = note.value.trim();
    note.value = '';
  }
  const isKept = button.dataset.covers
    ? recordAll(drafts, words(button), JSON.parse(button.dataset.covers))
    : record(drafts[0], words(button));
  if (button.closest('[data-waits]')) waitForAnswer(button);
  if (isKept) goThere(button);
}

// What a button records: its own, or that of all numbers with its number.
function draftsOf(button) {
  const drafts = [JSON.parse(button.closest('[data-record]').dataset.record)].flat();
  if (button.dataset.pieces) drafts[0].pieces = Number(button.dataset.pieces);
  joint.fill(button, drafts[0]);
  return drafts;
}

// What one tap recorded, one tap takes back; says whether all of it is kept.
function takeBack(id) {
  const group = together.read(job).includes(id) ? together.read(job) : [id];
  const takings = [...group].reverse().map((of) => ({ verb: 'take_back', of }));
  return takings.map((draft) => record(draft, 'Take that back')).every(Boolean);
}

// Several entries by one tap; the page goes on as if each had been tapped. Says whether any is
// kept.
function recordAll(drafts, text, covers) {
  const events = drafts.map((draft) => keepEntry(draft)).filter(Boolean);
  if (events.length === 0) return false;
  together.keep(job, events.map((event) => event.id));
  lastTap = events.at(-1).id;
  hush();
  changedAt = performance.now();
  if (covers.length > 0) goOn(drafts[0], text, covers);
  offerTakeBack(events.at(-1), text);
  if (!outbox.reached) warnAway();
  if (sheet.isOpen()) sheet.putAway();
  return true;
}

// The next question comes with the server's answer; until then this one is not asked twice.
function waitForAnswer(tapped) {
  for (const one of document.querySelectorAll('[data-waits]')) one.disabled = true;
  tapped.classList.add('chosen');
}

// Goes to a page that is about what was just recorded: when it is on the server, or soon, since
// what is not sent yet is sent from there. A page that asked what has now been answered is not gone
// back to.
function goThere({ dataset }) {
  if (!dataset.then) return;
  stayHere();
  const go = () => {
    stayHere();
    if (dataset.instead === undefined) location.assign(dataset.then);
    else location.replace(dataset.then);
  };
  const timer = setTimeout(go, GO_ON_MS);
  outbox.addEventListener('recorded', go);
  stayHere = () => {
    clearTimeout(timer);
    outbox.removeEventListener('recorded', go);
  };
}

function words(button) {
  return (button.firstChild?.textContent ?? button.textContent).trim();
}

// Keeps an entry, to be sent; none where this browser keeps nothing.
function keepEntry(draft) {
  try {
    return outbox.record(draft, seen());
  } catch {
    say('This browser keeps nothing, so nothing was recorded; free some space or use another.');
    return null;
  }
}

function record(draft, text) {
  const event = keepEntry(draft);
  if (!event) return null;
  lastTap = event.id;
  hush();
  changedAt = performance.now();
  if (draft.verb === 'take_back') {
    document.querySelector('[data-part="buttons"] [data-take-back]')?.remove();
    document.dispatchEvent(new CustomEvent('lastbolt:taken-back', { detail: draft.of }));
    say('Take that back: waiting to be sent.');
    whenSent = 'Taken back.';
  } else {
    // A round of several is no step done: the card says what comes next.
    if (!draft.pieces && draft.verb !== 'round') goOn(draft, text);
    offerTakeBack(event, text);
    if (!outbox.reached) warnAway();
  }
  if (sheet.isOpen()) sheet.putAway();
  return event;
}

// One tap takes it back, sent or not: entries keep their order.
function offerTakeBack(event, text) {
  const others = document.querySelector('[data-part="buttons"] .others');
  if (!others) return;
  let button = others.querySelector('[data-take-back]');
  if (!button) {
    button = Object.assign(document.createElement('button'), { type: 'button' });
    button.className = 'take-back';
    others.prepend(button);
  }
  button.dataset.takeBack = event.id;
  const small = Object.assign(document.createElement('small'), { textContent: text });
  button.replaceChildren('Take that back', small);
}

function submit(submitted) {
  const form = submitted.target.closest('form.say');
  if (!form) return;
  submitted.preventDefault();
  const input = form.elements.namedItem('note');
  const note = input.value.trim();
  if (!note) return;
  if (!record(...saidBy(form, note))) return;
  input.value = '';
  goThere(form);
}

// What a form with words records, and what that is called.
function saidBy(form, note) {
  const { say: thing, gate, record: said, text } = form.dataset;
  const fact = form.elements.namedItem('fact')?.value;
  const more = fact ? { more: { fact } } : {};
  if (said) return [withBesides(form, { ...JSON.parse(said), ...more, note }), text ?? note];
  if (gate) return [{ verb: 'gate', thing: gate, note }, 'Agreed, with the reason'];
  if (thing) return [{ verb: 'said', thing, note }, 'Note'];
  return [{ verb: 'first_start', note }, 'First start'];
}

// What stands beside the words: price, due date, and whole minutes.
function withBesides(form, draft) {
  const more = { ...draft.more };
  const said = (name) => form.elements.namedItem(name)?.value.trim();
  if (said('price')) more.price = withMoney(said('price'));
  if (said('due')) more.due = said('due');
  const minutes = parseInt(form.elements.namedItem('minutes')?.value ?? '', 10);
  if (minutes > 0) more.minutes = minutes;
  for (const input of form.querySelectorAll('.besides input')) input.value = '';
  return Object.keys(more).length > 0 ? { ...draft, more } : draft;
}

// A number alone gets the money of the garage: a price keeps it when the garage counts otherwise.
function withMoney(price) {
  const { money } = document.body.dataset;
  return money && /^[\d\s.,\u0027\u2019]+$/.test(price) ? `${price} ${money}` : price;
}

// The server has acknowledged something: it is said when that is all of it.
function recorded() {
  if (whenSent && outbox.unsent().length === 0) {
    say(whenSent);
    whenSent = '';
  }
  refresh();
}

// Takes over the server's newest page, one load at a time.
async function refresh() {
  if (refreshing) {
    refreshAgain = true;
    return;
  }
  refreshing = true;
  do {
    refreshAgain = false;
    const loaded = await load(pageAddress());
    // A page older than an own entry would take a tick away and put it back again.
    if (loaded?.ok && outbox.unsent().length === 0) {
      const before = document.querySelector('[data-part="buttons"]')?.innerHTML;
      takeOver(loaded.page);
      document.dispatchEvent(new Event('lastbolt:taken-over'));
      const after = document.querySelector('[data-part="buttons"]')?.innerHTML;
      if (before !== after && lastTap === null) changedAt = performance.now();
      lastTap = null;
      showOutbox();
      await sheet.refresh(say);
    }
  } while (refreshAgain);
  refreshing = false;
}

// The address of the page under a sheet.
const own = location.pathname + location.search;
function pageAddress() {
  return own;
}

function showOutbox() {
  const unsent = outbox.unsent().length;
  const shots = photos.count();
  const waits = [unsent || '', shots > 0 ? `${shots} ${shots > 1 ? 'photos' : 'photo'}` : '']
    .filter(Boolean).join(' and ');
  for (const place of document.querySelectorAll('[data-unsent]')) {
    const trouble = lost();
    const idle = trouble || 'all sent';
    const before = trouble ? `${trouble}, ` : '';
    place.textContent = waits ? `${before}${waits} not sent yet` : idle;
    place.classList.toggle('waiting', Boolean(waits || trouble));
  }
  if (unsent === 0) nowKept();
  if (!outbox.reached) warnAway();
  showRefused();
}

function lost() {
  if (!outbox.reached) return 'server not reached';
  return outbox.shut ? 'this phone is not let in' : '';
}

function showRefused() {
  const strip = document.querySelector('[data-refused]');
  if (!strip) return;
  const refused = outbox.refused();
  strip.hidden = refused.length === 0;
  strip.replaceChildren(...refused.map(refusedLine));
}

function refusedLine(entry) {
  const { event } = entry;
  const line = document.createElement('div');
  const text = document.createElement('p');
  const what = [event.thing, event.verb.replaceAll('_', ' ')].filter(Boolean).join(', ');
  const strong = Object.assign(document.createElement('strong'), {
    textContent: `Not taken: ${what}. `,
  });
  text.append(strong, entry.refused);
  const again = small('Send it again', 'sendAgain', entry);
  line.append(text, again, small('Put it away', 'putAway', entry));
  return line;
}

function small(text, name, entry) {
  const button = Object.assign(document.createElement('button'), { type: 'button' });
  button.textContent = text;
  button.dataset[name] = entry.key;
  return button;
}

function say(sentence) {
  const notice = document.querySelector('[data-notice]');
  if (!notice) return;
  notice.textContent = sentence;
  notice.hidden = false;
  clearTimeout(noticeTimer);
  noticeTimer = setTimeout(hush, NOTICE_MS);
}

function hush() {
  clearTimeout(noticeTimer);
  const notice = document.querySelector('[data-notice]');
  if (notice) notice.hidden = true;
}
