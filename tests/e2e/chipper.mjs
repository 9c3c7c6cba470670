// An invented machine that no file knows: what a person sees and does in taking it apart, in that
// order, and what is in front of what (which the program is never told).

// Each: place, name if one is said, kinds with counts, whether a part came off with them.
export const HANDFULS = [
  { from: 'above', name: 'hood', kinds: { screw: 4 } },
  { name: 'air duct', kinds: { clamp: 2, plug: 1 } },
  { name: 'airbox', kinds: { clip: 3, hose: 1 } },
  { name: 'tray', kinds: { nut: 3, clip: 1, earth: 1 } },
  { kinds: { screw: 4 } },
  { from: 'left', name: 'side guard', kinds: { screw: 6 } },
  { name: 'belt', kinds: {} },
  { kinds: { nut: 1, key: 1 } },
  { from: 'below', name: 'undertray', kinds: { screw: 8 } },
  { kinds: { hose: 2, plug: 1 }, alone: true },
  { name: 'pump', kinds: { screw: 2, union: 1 } },
  { from: 'right', name: 'right guard', kinds: { screw: 6 } },
  { name: 'roller motor', kinds: { nut: 4, plug: 2, earth: 1 } },
  { name: 'feed roller', kinds: { screw: 5 } },
];

// What nobody can get at or see once these parts are on. Names as the screen gives them.
export const BEHIND = {
  'air duct': ['hood'],
  airbox: ['hood', 'air duct'],
  tray: ['hood', 'airbox'],
  'part 1': ['tray'],
  belt: ['side guard'],
  'part 2': ['side guard', 'belt'],
  hoses: ['undertray'],
  plug: ['undertray'],
  pump: ['undertray'],
  'roller motor': ['right guard'],
  'feed roller': ['roller motor', 'part 2'],
};

// The handful that a thing belongs to: "tray nuts" to the tray.
export function handfulOf(thing) {
  const isHead = (head) => thing === head || thing.startsWith(`${head} `);
  const heads = Object.keys(BEHIND).filter(isHead);
  return heads.sort((a, b) => b.length - a.length)[0] ?? thing;
}

// The true answer of somebody who remembers.
export function answer({ kind, these, those }) {
  const behind = (thing) => BEHIND[handfulOf(thing)] ?? [];
  if (kind === 'holds' || kind === 'with') return 'no';
  if (kind === 'in_turn') {
    const home = [...(those ?? [])];
    const goes = (thing) => {
      const free = !home.some((other) => behind(thing).includes(other));
      home.push(thing);
      return free;
    };
    return these.every(goes) ? 'yes' : 'no';
  }
  const lies = (thing) => those.some((other) => behind(thing).includes(other));
  return these.some(lies) ? 'no' : 'yes';
}

// Which things went home too late: behind a part that was on already. Empty for a legal order.
export function tooLate(order) {
  const home = new Set();
  const late = [];
  for (const thing of order) {
    const behind = BEHIND[handfulOf(thing)] ?? [];
    if (behind.some((part) => home.has(part))) late.push(thing);
    home.add(thing);
  }
  return late;
}
