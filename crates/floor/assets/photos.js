// Photos are brought in one after the other: made smaller here where the phone can do it, sent,
// and then mentioned by an entry like any other. What did not come over stays listed with its
// reason and can be sent again for as long as this page is open.

import { fit } from './screen.js';
import { takenAt } from './taken.js';

const SIDE_MAX = 1600;
const QUALITY = 0.9;
const SEND_TIME_MS = 120_000;

let job;
let keep;
let left = [];
let bringing = false;

// `record` keeps an entry; `recorded` is told to whoever waits for one to be on the disk.
export function start(options) {
  job = options.job;
  keep = options.record;
  document.addEventListener('change', chosen);
  document.addEventListener('click', tapped);
  // How high the photo beside a step is shows only when it has come.
  document.addEventListener('load', (load) => {
    if (load.target.closest?.('[data-before]')) fit();
  }, true);
  options.outbox.addEventListener('recorded', goThen);
}

function chosen(change) {
  const input = change.target.closest('input[data-photos]');
  if (!input) return;
  const files = [...input.files];
  input.value = '';
  bringAll(files.map((file) => ({ file, why: '' })));
}

let then = null;

// Where to go when what a button said is on the disk.
function tapped(click) {
  const again = click.target.closest('[data-photos-again]');
  if (again) bringAll(left);
  const button = click.target.closest('button[data-then]');
  if (button) then = button.dataset.then;
  const shot = click.target.closest('[data-photo] [data-shot]');
  if (shot) hang(shot, click);
}

function goThen() {
  if (then) location.replace(then);
  then = null;
}

// A tap on the photo asks what is there.
function hang(shot, click) {
  const box = shot.querySelector('img').getBoundingClientRect();
  const part = (at, from, length) => Math.round(
    Math.min(Math.max((at - from) / length, 0), 1) * 1000,
  );
  const x = part(click.clientX, box.left, box.width);
  const y = part(click.clientY, box.top, box.height);
  const { photo } = shot.closest('[data-photo]').dataset;
  location.replace(`${photo}&x=${x}&y=${y}`);
}

async function bringAll(all) {
  if (bringing || all.length === 0) return;
  bringing = true;
  left = [];
  let done = 0;
  for (const one of all) {
    tell(`${done} of ${all.length} brought in; keep this page open`);
    try {
      await bring(one.file);
      done += 1;
    } catch (error) {
      left.push({ file: one.file, why: error.message });
    }
  }
  bringing = false;
  tell(`${done} of ${all.length} brought in`);
}

async function bring(file) {
  const taken = (await takenAt(file)) ?? file.lastModified;
  const body = await smaller(file);
  const isPicture = body.type.startsWith('image/');
  const said = await send(body, {
    'content-type': isPicture ? body.type : 'application/octet-stream',
    'x-taken-at-ms': String(taken),
    'x-minutes-east': String(-new Date(taken).getTimezoneOffset()),
  });
  const more = { photo: said.photo, taken_at_ms: said.taken_at_ms ?? undefined };
  const thing = document.querySelector('[data-of]')?.dataset.of;
  keep({ verb: 'photo', thing, more });
}

async function send(body, headers) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), SEND_TIME_MS);
  let answer;
  let said;
  try {
    answer = await fetch(`/api/job/${job}/photos`, {
      method: 'POST', headers, body, signal: stop.signal,
    });
    said = await answer.json();
  } catch {
    throw new Error('The server was not reached.');
  } finally {
    clearTimeout(timer);
  }
  if (!answer.ok) throw new Error(said.message ?? `The server answered ${answer.status}.`);
  return said;
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

function tell(text) {
  const told = document.querySelector('[data-photos-told]');
  if (!told) return;
  told.textContent = left.length > 0 ? `${text}, ${left.length} not` : text;
  const list = document.querySelector('[data-photos-left]');
  const lines = left.map((one) => {
    const name = Object.assign(document.createElement('strong'), { textContent: one.file.name });
    const line = document.createElement('li');
    line.append(name, `: ${one.why}`);
    return line;
  });
  if (left.length > 0 && !bringing) {
    const again = Object.assign(document.createElement('button'), { type: 'button' });
    again.textContent = 'Send them again';
    again.dataset.photosAgain = '';
    lines.push(again);
  }
  list.replaceChildren(...lines);
}
