// The handful that is being put together: counts by kind, place, name, marks. Kept in the browser
// tap by tap, so that a locked phone loses nothing; it is no entry yet.

const UNDO_MAX = 60;

export class Hand {
  constructor(job, place) {
    this.key = `lastbolt.hand.${job}`;
    this.now = empty();
    this.before = [];
    try {
      const kept = JSON.parse(localStorage.getItem(this.key));
      if (Array.isArray(kept?.counts)) this.now = { ...empty(), ...kept };
    } catch {
      // Written by something else: begun anew.
    }
    if (!this.now.place && place) this.now.place = place;
  }

  keep() {
    try {
      localStorage.setItem(this.key, JSON.stringify(this.now));
    } catch {
      // Not kept: it is still on the screen, and recording it will say so.
    }
  }

  change(change) {
    this.before.push(JSON.stringify(this.now));
    if (this.before.length > UNDO_MAX) this.before.shift();
    change(this.now);
    this.now.counts = this.now.counts.filter((one) => one.count > 0);
    this.keep();
  }

  count(kind) {
    return this.now.counts.find((one) => one.kind === kind)?.count ?? 0;
  }

  add(kind, more) {
    this.change((now) => {
      const one = now.counts.find((it) => it.kind === kind);
      if (one) one.count = Math.max(0, one.count + more);
      else if (more > 0) now.counts.push({ kind, count: more });
      now.active = kind;
    });
  }

  set(count) {
    this.change((now) => {
      const one = now.counts.find((it) => it.kind === now.active);
      if (one) one.count = count;
    });
  }

  mark(name) {
    this.change((now) => {
      const on = !now[name];
      if (name === 'slack' || name === 'by_hand') {
        now.slack = false;
        now.by_hand = false;
      }
      now[name] = on;
    });
  }

  // Takes the last tap back; false where there is none.
  undo() {
    const before = this.before.pop();
    if (!before) return false;
    this.now = JSON.parse(before);
    this.keep();
    return true;
  }

  isEmpty() {
    return this.now.counts.length === 0 && !this.now.name;
  }

  // The place stays until it is changed, everything else is used up.
  clear() {
    this.before = [];
    this.now = { ...empty(), place: this.now.place };
    this.keep();
  }

  fixings() {
    const stands = { stands: this.stands() };
    return this.now.counts.map(({ kind, count }) => ({
      kind,
      ...(count > 1 ? { count } : {}),
      ...(stands.stands ? stands : {}),
    }));
  }

  stands() {
    if (this.now.slack) return 'slack';
    return this.now.by_hand ? 'by_hand' : null;
  }

  // What is recorded: with the part, or the fixings alone.
  entry(withPart, aside) {
    const more = {};
    const name = this.now.name.trim();
    if (withPart) {
      more.part = {
        ...(name ? { name } : {}),
        ...(aside ? { aside: true } : {}),
        ...(this.now.is_it ? { is_it: true } : {}),
      };
    }
    const fixings = this.fixings();
    if (!withPart && name && fixings.length === 1) fixings[0].name = name;
    if (fixings.length > 0) more.ties = fixings;
    if (this.now.feel) more.feel = true;
    return { verb: 'took', spot: this.now.place || null, more };
  }
}

function empty() {
  return {
    counts: [], active: null, place: null, name: '', feel: false, slack: false, by_hand: false,
    is_it: false,
  };
}

// "3 nuts, 1 clip, 1 earth".
export function words(counts, stands) {
  const how = { slack: ' slack', by_hand: ' in by hand' }[stands] ?? '';
  const each = ({ kind, count = 1 }) => `${count} ${plural(kind, count)}${how}`;
  return counts.map(each).join(', ');
}

// As the server writes it.
export function plural(kind, count) {
  if (count === 1 || /sealant$/.test(kind)) return kind;
  if (/(s|x|ch|sh)$/.test(kind)) return `${kind}es`;
  if (/[^aeiou]y$/.test(kind)) return `${kind.slice(0, -1)}ies`;
  return `${kind}s`;
}

export function large(name) {
  return `${name.charAt(0).toUpperCase()}${name.slice(1)}`;
}

// An entry in a sentence: "Tray off: 3 nuts, 1 clip".
export function sentence(event) {
  const { part, ties = [] } = event.more ?? {};
  const kinds = words(ties, ties[0]?.stands);
  if (!part) return `Undone: ${kinds}`;
  const name = part.name ?? 'part';
  const how = part.aside ? 'hung aside' : 'off';
  const head = `${large(name)} ${how}`;
  return kinds ? `${head}: ${kinds}` : head;
}
