// Waits that run: how much of the maker's minutes is left. That one is over says the server.

const EACH_MS = 5000;
const SOON_MS = 1500;

// `refresh` takes over the server's newest page.
export function start(refresh) {
  let asked = 0;
  const tick = () => {
    for (const wait of document.querySelectorAll('[data-until]')) {
      const left = Number(wait.dataset.until) - Date.now();
      const place = wait.querySelector('[data-left]');
      if (place) place.textContent = left > 0 ? `(${inWords(left)} left)` : '';
      if (left < -SOON_MS && asked !== wait.dataset.until) {
        asked = wait.dataset.until;
        refresh();
      }
    }
  };
  setInterval(tick, EACH_MS);
  document.addEventListener('lastbolt:taken-over', tick);
  tick();
}

function inWords(ms) {
  const minutes = Math.ceil(ms / 60000);
  if (minutes < 90) return `${minutes} min`;
  return `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, '0')}`;
}
