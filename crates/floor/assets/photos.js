// Photos are brought in one after the other: made smaller here where the phone can do it, put by on
// this phone, sent, and then mentioned by an entry like any other. What did not come over stays on
// this phone and is sent as soon as the server is heard again, from any page of the job; what the
// server does not take is listed with its reason.

import { fit } from './screen.js';
import { takenAt } from './taken.js';
import { Waiting } from './waiting.js';

const SIDE_MAX = 1600;
const QUALITY = 0.9;
const SEND_TIME_MS = 120_000;
const AGAIN_MS = 20_000;

let job;
let keep;
let outbox;
let waiting;
let changed;
let timer = 0;
let busy = false;
let more = false;
// Of those that were chosen on this page, and of those that waited.
let all = 0;
let done = 0;
let unsent = [];

// `record` keeps an entry; `changed` is called when another number of photos waits.
export function start(options) {
  ({ job, outbox, changed } = options);
  keep = options.record;
  waiting = new Waiting(job);
  document.addEventListener('change', chosen);
  document.addEventListener('click', tapped);
  // How high the photo beside a step is shows only when it has come.
  document.addEventListener('load', (load) => {
    if (load.target.closest?.('[data-before]')) fit();
  }, true);
  outbox.addEventListener('heard', () => flush());
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') flush();
  });
  flush();
}

// How many photos wait to be sent.
export function count() {
  return unsent.filter((one) => !one.why).length;
}

async function chosen(change) {
  const input = change.target.closest('input[data-photos]');
  if (!input) return;
  const files = [...input.files];
  input.value = '';
  if (files.length === 0) return;
  const before = await waiting.all();
  all = before.length + files.length;
  done = 0;
  // Taken of a thing, or for a question of the day.
  const { of: thing, point } = (input.closest('.bring') ?? input).dataset;
  for (const file of files) {
    tell('keep this page open');
    await putBy(file, { thing, point });
    // What is put by is sent while the next one is made smaller.
    flush();
  }
}

async function putBy(file, about) {
  const taken = (await takenAt(file)) ?? file.lastModified;
  const body = await smaller(file);
  const photo = {
    name: file.name,
    ...about,
    taken,
    type: body.type.startsWith('image/') ? body.type : 'application/octet-stream',
    bytes: await body.arrayBuffer(),
    why: '',
  };
  try {
    await waiting.add(photo);
  } catch (error) {
    unsent.push({ ...photo, key: '', why: error.message });
  }
  await look();
}

// Reads anew what waits, and shows it.
async function look() {
  const lost = unsent.filter((one) => one.key === '');
  unsent = [...await waiting.all(), ...lost];
  all = Math.max(all, done + unsent.length);
  tell();
  changed();
}

// Sends what waits, the oldest first, until the server is not reached.
async function flush() {
  if (busy) {
    more = true;
    return;
  }
  busy = true;
  clearTimeout(timer);
  try {
    do {
      more = false;
      if (!await sendAll()) timer = setTimeout(flush, AGAIN_MS);
    } while (more);
  } catch {
    // This browser keeps nothing any more: what waits is tried again.
    timer = setTimeout(flush, AGAIN_MS);
  }
  waiting.sentAll();
  busy = false;
  tell();
}

// Whether all was sent that can be.
async function sendAll() {
  await look();
  for (const one of unsent.filter((photo) => photo.key && !photo.why)) {
    if (!waiting.mayISend()) return false;
    const outcome = await sendOne(one);
    await look();
    if (outcome === 'later') return false;
  }
  return true;
}

async function sendOne(one) {
  let { said } = one;
  if (!said) {
    const outcome = await send(one);
    if (outcome.later) return 'later';
    if (outcome.why) {
      await waiting.put({ ...one, why: outcome.why });
      return 'refused';
    }
    said = { photo: outcome.photo, taken_at_ms: outcome.taken_at_ms ?? undefined };
    await waiting.put({ ...one, said });
  }
  // This page may have been closed between these steps: it is mentioned once all the same.
  const more = one.point ? { ...said, point: one.point } : said;
  const mentions = (entry) => entry.event.more?.photo === said.photo;
  const isShown = one.said && document.querySelector(`li[data-key="${said.photo}"]`);
  if (!outbox.entries().some(mentions) && !isShown) {
    keep({ verb: 'photo', thing: one.thing, more });
  }
  await waiting.remove(one.key);
  done += 1;
  return 'sent';
}

function tapped(click) {
  const again = click.target.closest('[data-photos-again]');
  if (again) sendAgain();
  const away = click.target.closest('[data-photo-away]');
  if (away) putAway(away.dataset.photoAway);
  const shot = click.target.closest('[data-photo] [data-shot]');
  if (shot) hang(shot, click);
}

// A tap on the photo asks what is there; where the screws of a joint are marked it is one of them.
function hang(shot, click) {
  const box = shot.querySelector('img').getBoundingClientRect();
  const part = (at, from, length) => Math.round(
    Math.min(Math.max((at - from) / length, 0), 1) * 1000,
  );
  const x = part(click.clientX, box.left, box.width);
  const y = part(click.clientY, box.top, box.height);
  const { photo } = shot.closest('[data-photo]').dataset;
  const { screws } = shot.dataset;
  if (screws !== undefined) {
    if (screws) mark(JSON.parse(screws), x, y);
    return;
  }
  location.replace(`${photo}&x=${x}&y=${y}`);
}

function mark(draft, x, y) {
  try {
    keep({ ...draft, more: { ...draft.more, x, y } });
  } catch {
    // This browser keeps nothing: the count on the page stays as it is.
  }
}

async function sendAgain() {
  for (const one of unsent.filter((photo) => photo.key)) await waiting.put({ ...one, why: '' });
  all = unsent.length;
  done = 0;
  flush();
}

async function putAway(key) {
  if (key) await waiting.remove(key);
  unsent = unsent.filter((one) => one.key !== key);
  await look();
}

// What became of it: the photo's name, that it has to be sent later, or why it is not taken.
async function send(one) {
  const stop = new AbortController();
  const limit = setTimeout(() => stop.abort(), SEND_TIME_MS);
  try {
    const answer = await fetch(`/api/job/${job}/photos`, {
      method: 'POST',
      headers: {
        'content-type': one.type,
        'x-taken-at-ms': String(one.taken),
        'x-minutes-east': String(-new Date(one.taken).getTimezoneOffset()),
      },
      body: one.bytes,
      signal: stop.signal,
    });
    const said = await answer.json();
    if (answer.ok) return said;
    if (answer.status >= 500 || answer.status === 429 || said.let_in === false) {
      return { later: true };
    }
    return { why: said.message ?? `The server answered ${answer.status}.` };
  } catch {
    return { later: true };
  } finally {
    clearTimeout(limit);
  }
}

// Upright and small enough; the file itself where this phone cannot do it, or need not.
async function smaller(file) {
  let picture;
  try {
    picture = await createImageBitmap(file, { imageOrientation: 'from-image' });
    const scale = SIDE_MAX / Math.max(picture.width, picture.height);
    const isJpeg = file.type === 'image/jpeg';
    if (scale >= 1 && isJpeg) return file;
    const canvas = document.createElement('canvas');
    canvas.width = Math.max(1, Math.round(picture.width * Math.min(scale, 1)));
    canvas.height = Math.max(1, Math.round(picture.height * Math.min(scale, 1)));
    const pen = canvas.getContext('2d');
    pen.imageSmoothingQuality = 'high';
    pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
    const made = await new Promise((resolve) => {
      canvas.toBlob(resolve, 'image/jpeg', QUALITY);
    });
    return made ?? file;
  } catch {
    return file;
  } finally {
    picture?.close();
  }
}

function tell(besides = '') {
  const told = document.querySelector('[data-photos-told]');
  if (!told || all === 0) return;
  const refused = unsent.filter((one) => one.why).length;
  const open = busy && !waiting.lasting ? 'keep this page open' : besides;
  const words = [
    all > refused ? `${done} of ${all} brought in` : '',
    refused > 0 ? `${refused} not${all > refused ? '' : ' brought in'}` : '',
    count() > 0 && !busy ? `${count()} not yet sent` : '',
  ].filter(Boolean);
  told.textContent = open ? `${words.join(', ')}; ${open}` : words.join(', ');
  const list = document.querySelector('[data-photos-left]');
  const lines = busy ? unsent.filter((one) => one.why).map(line) : unsent.map(line);
  if (refused > 0 && !busy) {
    lines.push(button('Send them again', 'photosAgain', ''));
  }
  list.replaceChildren(...lines);
}

function line(one) {
  const name = Object.assign(document.createElement('strong'), { textContent: one.name });
  const item = document.createElement('li');
  const stays = waiting.lasting ? 'it stays on this phone until it is' : 'keep this page open';
  item.append(name, `: ${one.why || `not yet sent; ${stays}`}`);
  if (one.why) item.append(' ', button('Put it away', 'photoAway', one.key));
  return item;
}

function button(text, name, value) {
  const made = Object.assign(document.createElement('button'), { type: 'button' });
  made.textContent = text;
  made.dataset[name] = value;
  return made;
}
