// The card of a joint: a tap on a screw of the drawing leads to "I stopped here" at its number.

export function start() {
  document.addEventListener('click', (click) => {
    const head = click.target.closest?.('svg.joint [data-number]');
    const fold = document.querySelector('.joint .broken-off');
    if (!head || !fold) return;
    const own = [...fold.querySelectorAll('button')]
      .find((button) => button.textContent.trim() === head.dataset.number);
    if (!own) return;
    fold.open = true;
    own.scrollIntoView({ block: 'center' });
    own.focus();
  });
}
