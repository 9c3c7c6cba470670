// Keys, for a keyboard and for the wireless button taped to the wing: Enter = did it,
// Backspace = take that back, arrows move in the list.

import { isOpen, putAway } from './sheet.js';

export function start() {
  document.addEventListener('keydown', (key) => {
    if (key.defaultPrevented || key.ctrlKey || key.metaKey || key.altKey || key.repeat) return;
    const types = key.target.closest?.('input, textarea, select');
    if (key.key === 'Escape' && isOpen()) {
      key.preventDefault();
      putAway();
    } else if (!types && key.key === 'Enter' && !key.target.closest?.('a, button')) {
      press(key, isOpen() ? '#sheet .did.main' : '.buttons .did.main');
    } else if (!types && key.key === 'Backspace') {
      press(key, '[data-undo]:not([hidden]), [data-take-back]');
    } else if (!types && (key.key === 'ArrowDown' || key.key === 'ArrowUp')) {
      move(key, key.key === 'ArrowDown' ? 1 : -1);
    }
  });
}

function press(key, which) {
  const button = document.querySelector(which);
  if (!button) return;
  key.preventDefault();
  button.click();
}

function move(key, by) {
  const root = isOpen() ? document.getElementById('sheet') : document;
  const rows = Array.from(root.querySelectorAll('a.row'));
  if (rows.length === 0) return;
  key.preventDefault();
  const at = rows.indexOf(document.activeElement);
  const to = at < 0 ? (by > 0 ? 0 : rows.length - 1) : at + by;
  rows[Math.max(0, Math.min(rows.length - 1, to))].focus();
}
