// Who records: a name kept in this browser, said in two taps from the strip at the top. It goes
// with every entry; without one entries are kept all the same.

const KEY = 'lastbolt.person';
const USED = 'lastbolt.people';
const USED_MAX = 6;

export const person = () => localStorage.getItem(KEY) || null;

const used = () => (localStorage.getItem(USED) ?? '').split('\n').filter(Boolean);

export function start(job, putAway) {
  document.addEventListener('click', (click) => {
    const button = click.target.closest('button[data-person]');
    if (!button) return;
    choose(button.dataset.person);
    putAway();
  });
  document.addEventListener('submit', (submitted) => {
    const form = submitted.target.closest('form[data-who]');
    if (!form) return;
    submitted.preventDefault();
    const name = form.elements.namedItem('person').value.trim();
    if (!name) return;
    choose(name);
    putAway();
  });
  // The sheet comes from the server with the names of the job: those of this browser join them.
  new MutationObserver(offer).observe(document.getElementById('sheet'), { childList: true });
  document.addEventListener('lastbolt:taken-over', () => show(job));
  offer();
  show(job);

  function choose(name) {
    localStorage.setItem(KEY, name);
    if (name) {
      const names = [name, ...used().filter((one) => one !== name)].slice(0, USED_MAX);
      localStorage.setItem(USED, names.join('\n'));
    }
    show(job);
  }
}

function offer() {
  for (const people of document.querySelectorAll('[data-people]')) {
    const there = new Set(Array.from(people.children, (one) => one.dataset.person));
    for (const name of used().filter((one) => !there.has(one))) {
      const button = Object.assign(document.createElement('button'), { type: 'button' });
      button.textContent = name;
      button.dataset.person = name;
      people.append(button);
    }
  }
}

function show(job) {
  for (const link of document.querySelectorAll('[data-mine]')) {
    link.href = `/job/${job}/who`;
    const name = person();
    link.querySelector('[data-who-records]').textContent = name ?? 'who records?';
    link.title = 'Who records';
  }
}
