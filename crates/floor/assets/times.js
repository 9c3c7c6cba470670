// Times of day: the server writes UTC, the browser makes it local.

export function makeLocal(root) {
  for (const time of root.querySelectorAll('time[datetime]')) {
    const at = new Date(time.dateTime);
    if (Number.isNaN(at.getTime())) continue;
    const clock = at.toLocaleTimeString([], { hour: '2-digit', minute: '2-digit' });
    // What is printed is read later: it always carries the day.
    const prints = document.body.dataset.page === 'record';
    // A job may cross midnight: another day than today's is always said.
    const far = prints || at.toDateString() !== new Date().toDateString();
    const day = dayOf(at);
    time.textContent = far ? `${day}, ${clock}` : clock;
    time.title = time.dateTime;
  }
}

// The day in the form that the garage wants, else in the browser's.
function dayOf(at) {
  const parts = {
    year: String(at.getFullYear()).padStart(4, '0'),
    month: String(at.getMonth() + 1).padStart(2, '0'),
    day: String(at.getDate()).padStart(2, '0'),
  };
  const form = document.body.dataset.date;
  if (form) return form.replace(/year|month|day/g, (word) => parts[word]);
  return at.toLocaleDateString([], { year: 'numeric', month: 'short', day: 'numeric' });
}
