// The card of a joint: a tap on a screw of the drawing leads to "I stopped here" at its number; a
// borrowed wrench is named in words.

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

// Whether what a button needs is said; where it is not, the field asks for it.
export function isSaid(button) {
  return [...button.closest('.borrowed-fields')?.querySelectorAll('input') ?? []].every((input) => {
    input.value = input.value.trim();
    return input.reportValidity();
  });
}

// Puts the borrowed wrench into what a button records; its name stays there for the next round.
export function fill(button, draft) {
  const fields = button.closest('.borrowed-fields');
  if (!fields) return;
  const { wrench, setting } = fields.elements;
  draft.more = { ...draft.more, wrench: wrench.value, setting: setting.value };
  setting.value = '';
}
