// What was recorded here and is not known to be on the server's disk. One key of localStorage per
// entry, so that two tabs share it without a lock; an entry leaves only when the server has
// acknowledged it, or when a person has read why it was not taken and puts it away.

import { person } from './person.js';

const SEND_TIME_MS = 8000;
const MOST_AT_ONCE = 50;
const NOT_IN = 'This phone is not let in any more. What was tapped here waits to be sent: scan a '
  + 'new code on the machine that Lastbolt runs on.';
const WAITS_MS = [500, 1000, 2000, 4000, 8000, 15000];

export class Outbox extends EventTarget {
  constructor(job) {
    super();
    this.job = job;
    this.prefix = `lastbolt.out.${job}.`;
    this.sending = false;
    this.failures = 0;
    this.reached = true;
    // This phone is not let in, or not any more: entries wait until it is.
    this.shut = false;
    this.timer = 0;
    addEventListener('online', () => this.soon(0));
    addEventListener('storage', (change) => {
      if (change.key?.startsWith(this.prefix)) this.changed();
    });
    document.addEventListener('visibilitychange', () => {
      if (document.visibilityState === 'visible') this.soon(0);
    });
  }

  // Entries in the order in which they were made.
  entries() {
    const all = [];
    for (let at = 0; at < localStorage.length; at += 1) {
      const key = localStorage.key(at);
      if (!key?.startsWith(this.prefix)) continue;
      try {
        all.push({ key, ...JSON.parse(localStorage.getItem(key)) });
      } catch {
        // Written by something else: left alone.
      }
    }
    return all.sort((a, b) => (a.key < b.key ? -1 : 1));
  }

  unsent() {
    return this.entries().filter((entry) => !entry.refused);
  }

  refused() {
    return this.entries().filter((entry) => entry.refused);
  }

  // Keeps an entry, then sends it. Throws when the browser keeps nothing.
  record(draft, seen) {
    const count = this.nextCount();
    const event = {
      id: randomWord(16),
      sender: sender(),
      count,
      seen,
      said_at_ms: Date.now(),
      verb: draft.verb,
    };
    if (person()) event.person = person();
    for (const field of ['thing', 'spot', 'tool', 'person', 'note', 'pieces', 'of', 'more']) {
      if (draft[field] !== null && draft[field] !== undefined) event[field] = draft[field];
    }
    const key = `${this.prefix}${String(count).padStart(12, '0')}.${event.id}`;
    localStorage.setItem(key, JSON.stringify({ event }));
    this.changed();
    this.soon(0);
    return event;
  }

  nextCount() {
    const key = `lastbolt.count.${this.job}`;
    const count = (Number(localStorage.getItem(key)) || 0) + 1;
    localStorage.setItem(key, String(count));
    return count;
  }

  putAway(key) {
    localStorage.removeItem(key);
    this.changed();
  }

  sendAgain(key) {
    const entry = this.entries().find((one) => one.key === key);
    if (!entry) return;
    localStorage.setItem(key, JSON.stringify({ event: entry.event }));
    this.changed();
    this.soon(0);
  }

  // The server says elsewhere (in its stream) that an entry is on the disk.
  isRecorded(id) {
    const entry = this.entries().find((one) => one.event.id === id);
    if (entry) this.putAway(entry.key);
  }

  soon(wait) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.flush(), wait);
  }

  async flush() {
    if (this.sending) return;
    this.sending = true;
    try {
      let most = MOST_AT_ONCE;
      for (let unsent = this.unsent(); unsent.length > 0; unsent = this.unsent()) {
        const outcome = await this.send(unsent.slice(0, most));
        if (outcome === 'later') {
          this.failures += 1;
          this.soon(WAITS_MS[Math.min(this.failures, WAITS_MS.length) - 1]);
          return;
        }
        this.failures = 0;
        // A request that cannot be read is taken apart to find the entry that is at fault.
        most = outcome === 'smaller' ? 1 : MOST_AT_ONCE;
      }
    } finally {
      this.sending = false;
    }
  }

  async send(batch) {
    const body = JSON.stringify({ version: 1, events: batch.map((entry) => entry.event) });
    const stop = new AbortController();
    const timer = setTimeout(() => stop.abort(), SEND_TIME_MS);
    let answer;
    let said;
    try {
      answer = await fetch(`/api/job/${this.job}/events`, {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body,
        signal: stop.signal,
      });
      said = await answer.json();
    } catch {
      this.setReached(false);
      return 'later';
    } finally {
      clearTimeout(timer);
    }
    this.setReached(true);
    this.setShut(said.let_in === false);
    if (this.shut) return 'later';
    if (answer.ok) {
      this.settle(batch, said.answers ?? []);
      return 'sent';
    }
    if (answer.status >= 500 || answer.status === 429) {
      this.say(said.message);
      return 'later';
    }
    if (batch.length > 1) return 'smaller';
    this.keepRefused(batch[0], said.message ?? `The server answered ${answer.status}.`);
    return 'sent';
  }

  settle(batch, answers) {
    const byId = new Map(answers.map((one) => [one.id, one]));
    let last = 0;
    for (const entry of batch) {
      const answer = byId.get(entry.event.id);
      if (!answer) {
        this.keepRefused(entry, 'The server did not say what became of it.');
      } else if (answer.accepted === 'refused') {
        this.keepRefused(entry, answer.message);
      } else {
        localStorage.removeItem(entry.key);
        last = Math.max(last, answer.seq);
      }
    }
    this.changed();
    if (last > 0) this.dispatchEvent(new CustomEvent('recorded', { detail: last }));
  }

  keepRefused(entry, sentence) {
    const kept = { event: entry.event, refused: sentence };
    localStorage.setItem(entry.key, JSON.stringify(kept));
    this.changed();
    this.dispatchEvent(new Event('refused'));
  }

  setReached(reached) {
    if (this.reached === reached) return;
    this.reached = reached;
    this.changed();
    if (reached) this.dispatchEvent(new Event('heard'));
  }

  setShut(shut) {
    if (this.shut === shut) return;
    this.shut = shut;
    this.changed();
    if (!shut) this.dispatchEvent(new Event('heard'));
    if (shut) this.say(NOT_IN);
  }

  // The stream has lost the server: whether it is there, and lets this phone in, is asked once.
  async look() {
    this.setReached(false);
    const stop = new AbortController();
    const timer = setTimeout(() => stop.abort(), SEND_TIME_MS);
    try {
      const answer = await fetch(`/api/job/${this.job}/here`, { signal: stop.signal });
      this.setReached(true);
      this.setShut((await answer.json()).let_in === false);
    } catch {
      // Not there: the stream goes on trying.
    } finally {
      clearTimeout(timer);
    }
  }

  // The server is heard again: what waits is sent now.
  back() {
    this.failures = 0;
    this.setReached(true);
    this.setShut(false);
    this.soon(0);
  }

  say(sentence) {
    if (sentence) this.dispatchEvent(new CustomEvent('say', { detail: sentence }));
  }

  changed() {
    this.dispatchEvent(new Event('changed'));
  }
}

// Present on plain http too, where randomUUID is not.
function randomWord(bytes) {
  const all = crypto.getRandomValues(new Uint8Array(bytes));
  return Array.from(all, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

function sender() {
  const key = 'lastbolt.sender';
  let name = localStorage.getItem(key);
  if (!name) {
    name = `browser ${randomWord(3)}`;
    localStorage.setItem(key, name);
  }
  return name;
}
