// Sheets on paper: a button prints, and a page that was opened to be printed prints once.

const SETTLE_MS = 300;

export function start() {
  document.addEventListener('click', (click) => {
    if (click.target.closest('[data-print]')) globalThis.print();
  });
  // What is folded on a screen stands whole on paper.
  const opened = [];
  addEventListener('beforeprint', () => {
    for (const fold of document.querySelectorAll('details.fold')) {
      if (fold.open || !fold.querySelector('.point, li, p')) continue;
      fold.open = true;
      opened.push(fold);
    }
  });
  addEventListener('afterprint', () => {
    for (const fold of opened.splice(0)) fold.open = false;
  });
  if (!new URLSearchParams(location.search).has('print')) return;
  // Opened again or gone back to, it does not print a second time.
  history.replaceState(history.state, '', location.pathname);
  setTimeout(() => globalThis.print(), SETTLE_MS);
}
