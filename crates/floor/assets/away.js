// What differs on a phone, away from the machine that Lastbolt runs on.

const PUT_AWAY = 'lastbolt.awake';
const HOME = ['127.0.0.1', 'localhost', '[::1]'];

export const isAtHome = () => HOME.includes(location.hostname);

// A page on plain http cannot keep a phone awake: its first screen says what can, once.
export function start() {
  for (const link of document.querySelectorAll('[data-home]')) link.hidden = !isAtHome();
  const strip = document.querySelector('[data-awake]');
  if (!strip || isAtHome() || localStorage.getItem(PUT_AWAY)) return;
  strip.hidden = false;
  strip.querySelector('button').addEventListener('click', () => {
    localStorage.setItem(PUT_AWAY, '1');
    strip.hidden = true;
    dispatchEvent(new Event('resize'));
  });
}
