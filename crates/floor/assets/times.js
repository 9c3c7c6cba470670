// Times of day: the server writes UTC, the browser makes it local.

const DAY_MS = 24 * 60 * 60 * 1000;

export function makeLocal(root) {
  for (const time of root.querySelectorAll('time[datetime]')) {
    const at = new Date(time.dateTime);
    if (Number.isNaN(at.getTime())) continue;
    const clock = at.toLocaleTimeString([], { hour: '2-digit', minute: '2-digit' });
    // What is printed is read later: it always carries the day.
    const prints = document.body.dataset.page === 'record';
    const far = prints || Math.abs(Date.now() - at.getTime()) > DAY_MS / 2;
    const day = at.toLocaleDateString([], { year: 'numeric', month: 'short', day: 'numeric' });
    time.textContent = far ? `${day}, ${clock}` : clock;
    time.title = time.dateTime;
  }
}
