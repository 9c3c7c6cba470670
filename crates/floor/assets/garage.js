// Changes one thing of the garage file at a time, and shows the page anew.

import { ask } from './ask.js';

export function start(say) {
  const main = document.querySelector('main[data-garage]');
  if (!main) return;
  main.addEventListener('submit', (submit) => {
    submit.preventDefault();
    const form = submit.target;
    const change = JSON.parse(form.dataset.change);
    const name = form.elements.namedItem('name')?.value.trim();
    const value = form.elements.namedItem('value')?.value.trim();
    if (name) change.path.push(name);
    else if (value) change.value = value;
    else change.do = 'remove';
    send(change, say);
  });
  main.addEventListener('click', (click) => {
    const button = click.target.closest('button[data-change]');
    if (button) send(JSON.parse(button.dataset.change), say);
  });
  openAgain(main);
}

async function send(change, say) {
  const answer = await ask('/api/garage', { version: 1, ...change });
  if (!answer.done) {
    say(answer.message ?? 'The server cannot be reached; nothing was changed. Try again.');
    return;
  }
  const open = [...document.querySelectorAll('main[data-garage] details')];
  const names = open.filter((one) => one.open).map(nameOf);
  if (change.do === 'add') names.push(change.path.at(-1));
  try {
    sessionStorage.setItem('lastbolt garage', JSON.stringify({ names, at: window.scrollY }));
  } catch {
    // Then everything is folded again.
  }
  location.reload();
}

const nameOf = (details) => details.querySelector('.what').textContent;

// What was open before a change is open after it, and the page stands where it stood.
function openAgain(main) {
  let kept = null;
  try {
    kept = JSON.parse(sessionStorage.getItem('lastbolt garage'));
    sessionStorage.removeItem('lastbolt garage');
  } catch {
    return;
  }
  if (!kept) return;
  for (const details of main.querySelectorAll('details')) {
    if (kept.names.includes(nameOf(details))) details.open = true;
  }
  window.scrollTo(0, kept.at);
}
