// Begins a job from nothing: two answers, then the page for taking apart.

import { ask } from './ask.js';

export function start(say) {
  const form = document.querySelector('form[data-begin]');
  if (!form) return;
  const { machine, after } = form.elements;
  let begun = false;
  machine.focus();
  form.addEventListener('click', (click) => {
    const known = click.target.closest('[data-machine]');
    if (!known) return;
    machine.value = known.dataset.machine;
    after.focus();
  });
  // The first answer leads to the second one, as on paper.
  machine.addEventListener('keydown', (key) => {
    if (key.key !== 'Enter' || !machine.value.trim()) return;
    key.preventDefault();
    after.focus();
  });
  form.addEventListener('submit', async (submit) => {
    submit.preventDefault();
    if (begun) return;
    begun = true;
    const answer = await ask('/api/begin', {
      version: 1, machine: machine.value, after: after.value,
    });
    if (answer.page) {
      location.assign(answer.page);
      return;
    }
    begun = false;
    say(answer.message ?? 'The server cannot be reached; nothing was begun. Try again.');
  });
}
