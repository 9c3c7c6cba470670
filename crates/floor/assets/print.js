// Sheets on paper: a button prints, and a page that was opened to be printed prints once.

const SETTLE_MS = 300;

export function start() {
  document.addEventListener('click', (click) => {
    if (click.target.closest('[data-print]')) globalThis.print();
  });
  if (!new URLSearchParams(location.search).has('print')) return;
  // Opened again or gone back to, it does not print a second time.
  history.replaceState(history.state, '', location.pathname);
  setTimeout(() => globalThis.print(), SETTLE_MS);
}
