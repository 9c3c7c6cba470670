// Begins a job from nothing: two answers, then the page for taking apart.

const TIME_MS = 8000;

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
    const answer = await ask({ version: 1, machine: machine.value, after: after.value });
    if (answer.page) {
      location.assign(answer.page);
      return;
    }
    begun = false;
    say(answer.message ?? 'The server cannot be reached; nothing was begun. Try again.');
  });
}

async function ask(words) {
  try {
    const answer = await fetch('/api/begin', {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(words),
      signal: AbortSignal.timeout(TIME_MS),
    });
    return await answer.json();
  } catch {
    return {};
  }
}
