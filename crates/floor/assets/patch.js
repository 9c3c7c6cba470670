// Makes an element that is shown into a newer one, node by node: what is the same stands still, so
// that one tap on a long card changes little.

export function patch(old, fresh) {
  attributes(old, fresh);
  children(old, fresh);
}

function attributes(old, fresh) {
  for (const { name } of [...old.attributes]) {
    if (!fresh.hasAttribute(name) && !isOwn(old, name)) old.removeAttribute(name);
  }
  for (const { name, value } of fresh.attributes) {
    if (old.getAttribute(name) !== value && !isOwn(old, name)) old.setAttribute(name, value);
  }
}

// What somebody has unfolded stays unfolded.
function isOwn(element, name) {
  return name === 'open' && element.localName === 'details';
}

function children(old, fresh) {
  let at = old.firstChild;
  for (const wanted of [...fresh.childNodes]) {
    let same = at;
    while (same && !alike(same, wanted)) same = same.nextSibling;
    if (!same) {
      old.insertBefore(wanted, at);
      continue;
    }
    while (at !== same) at = without(at);
    if (same.nodeType === Node.ELEMENT_NODE) patch(same, wanted);
    else if (same.data !== wanted.data) same.data = wanted.data;
    at = same.nextSibling;
  }
  while (at) at = without(at);
}

// Takes a node away and gives the one behind it.
function without(node) {
  const next = node.nextSibling;
  node.remove();
  return next;
}

function alike(old, wanted) {
  if (old.nodeName !== wanted.nodeName) return false;
  if (old.nodeType !== Node.ELEMENT_NODE) return true;
  return old.dataset.key === wanted.dataset.key && sort(old) === sort(wanted);
}

function sort(element) {
  return (element.getAttribute('class') ?? '').split(' ')[0];
}
