// Photos that are not on the server yet. They stay in this browser's own database (present on
// plain http too) until the server has them: closing the page or the browser loses none. Where
// there is no such database they stay for as long as the page is open, and that is said.

const NAME = 'lastbolt';
const STORE = 'photos';
// More than any job has; the browser's own limit may come first.
const PHOTOS_MAX = 200;
const LEASE_MS = 150_000;

export class Waiting {
  constructor(job) {
    this.job = job;
    this.here = new Map();
    this.lasting = true;
    this.tab = String(Math.random());
  }

  // Keeps a photo; says whether it outlasts this page.
  async add(photo) {
    const known = await this.all();
    if (known.length >= PHOTOS_MAX) {
      throw new Error(`${PHOTOS_MAX} photos wait already; bring it in when those are sent.`);
    }
    const one = { ...photo, job: this.job, key: `${Date.now()}.${Math.random()}` };
    await this.put(one);
    return this.lasting;
  }

  async put(one) {
    try {
      await this.within('readwrite', (store) => store.put(one));
      this.here.delete(one.key);
      this.lasting = true;
    } catch {
      this.here.set(one.key, one);
      this.lasting = false;
    }
  }

  // Those of this job, in the order in which they were brought.
  async all() {
    let stored = [];
    try {
      stored = await this.within('readonly', (store) => store.getAll());
    } catch {
      // No database: only what this page holds.
    }
    const own = stored.filter((one) => one.job === this.job);
    return [...own, ...this.here.values()].sort((a, b) => (a.key < b.key ? -1 : 1));
  }

  async remove(key) {
    this.here.delete(key);
    try {
      await this.within('readwrite', (store) => store.delete(key));
    } catch {
      // It was not there.
    }
  }

  // One page at a time sends them: true if it is this one, for a while.
  mayISend() {
    const key = `lastbolt.sends-photos.${this.job}`;
    const [tab, until] = (localStorage.getItem(key) ?? '').split(' ');
    if (tab && tab !== this.tab && Number(until) > Date.now()) return false;
    localStorage.setItem(key, `${this.tab} ${Date.now() + LEASE_MS}`);
    return true;
  }

  sentAll() {
    const key = `lastbolt.sends-photos.${this.job}`;
    if (localStorage.getItem(key)?.startsWith(`${this.tab} `)) localStorage.removeItem(key);
  }

  async within(mode, work) {
    const database = await opened();
    try {
      const turn = database.transaction(STORE, mode, { durability: 'strict' });
      const asked = work(turn.objectStore(STORE));
      await new Promise((resolve, reject) => {
        turn.oncomplete = resolve;
        turn.onabort = () => reject(turn.error);
        turn.onerror = () => reject(turn.error);
      });
      return asked.result;
    } finally {
      database.close();
    }
  }
}

function opened() {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: 'key' });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error);
    asked.onblocked = () => reject(new Error('another page holds it'));
  });
}
