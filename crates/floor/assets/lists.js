// A list from a spreadsheet: it is looked at first; taking it in is a tap of its own. The server
// reads it, so that page and command understand the same.

import { person } from './person.js';

const SEND_TIME_MS = 30_000;

let job;
let say;
let list = null;
let busy = false;

const one = (selector) => document.querySelector(selector);

export function start(given) {
  if (!one('[data-list]')) return;
  job = given.job;
  say = given.say;
  one('[data-list-file]').addEventListener('change', chosen);
  one('[data-list-paste]').addEventListener('submit', pasted);
  one('[data-list-off]').addEventListener('click', (click) => {
    const button = click.currentTarget;
    button.setAttribute('aria-pressed', String(!isOff()));
    if (list) send(false);
  });
  one('[data-list-shown]').addEventListener('click', (click) => {
    if (click.target.closest('[data-list-yes]')) send(true);
  });
}

const isOff = () => one('[data-list-off]').getAttribute('aria-pressed') === 'true';

function chosen(change) {
  const [file] = change.target.files;
  change.target.value = '';
  if (!file) return;
  list = file;
  send(false);
}

function pasted(submit) {
  submit.preventDefault();
  const { rows } = submit.target.elements;
  if (!rows.value.trim()) return;
  list = new Blob([rows.value]);
  rows.blur();
  send(false);
}

async function send(yes) {
  if (busy) return;
  busy = true;
  const words = new URLSearchParams();
  if (isOff()) words.set('off', '1');
  if (yes) words.set('yes', '1');
  if (yes && person()) words.set('person', person());
  try {
    const answer = await fetch(`/api/job/${job}/list?${words}`, {
      method: 'POST',
      headers: { 'content-type': 'text/csv' },
      body: await list.arrayBuffer(),
      signal: AbortSignal.timeout(SEND_TIME_MS),
    });
    const said = await answer.json();
    if (answer.ok) show(said, yes);
    else say(said.message ?? `The server answered ${answer.status}.`);
  } catch {
    say(yes
      ? 'The server was not reached. Try again: what it has kept already is not kept twice.'
      : 'The list could not be read, or the server was not reached. Try again.');
  }
  busy = false;
}

function show(said, yes) {
  const page = new DOMParser().parseFromString(said.shown, 'text/html');
  const shown = one('[data-list-shown]');
  shown.replaceChildren(...page.body.childNodes);
  if (yes) list = null;
  shown.scrollIntoView({ block: 'start' });
}
