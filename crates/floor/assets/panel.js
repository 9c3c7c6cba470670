// Panels: everything that has no button of its own, laid over the page, one tap to pick.

let picks = {};

const panel = (name) => document.querySelector(`[data-panel="${name}"]`);

export function openPanel(name) {
  panel(name).hidden = false;
  document.body.classList.add('under');
}

// `pick` has for each panel what is done with the word that was picked.
export function startPanels({ pick }) {
  picks = pick;
  for (const one of document.querySelectorAll('[data-panel]')) {
    one.addEventListener('click', (click) => {
      const button = click.target.closest('button');
      const word = button?.dataset.kind ?? button?.dataset.from;
      if (word !== undefined) picked(one, word);
      else if (click.target === one || button?.dataset.shut !== undefined) shut(one);
    });
  }
  document.addEventListener('submit', (submit) => {
    const form = submit.target.closest('[data-own]');
    if (!form) return;
    submit.preventDefault();
    const word = form.elements.own.value.trim().replace(/\s+/g, ' ');
    form.elements.own.value = '';
    if (word) picked(panel(form.dataset.own), word);
  });
  document.addEventListener('keydown', (key) => {
    const open = document.querySelector('.panel:not([hidden])');
    if (key.key === 'Escape' && open) shut(open);
  });
}

function picked(one, word) {
  shut(one);
  picks[one.dataset.panel](word);
}

function shut(one) {
  one.hidden = true;
  document.body.classList.remove('under');
}
