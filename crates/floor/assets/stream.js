// One stream a tab: says when something was recorded, when the list from there is ready, and at
// once when the server is not heard any more. It comes back by itself.

const WAITS_MS = [300, 1000, 2000, 4000];
// The server's stream beats every 4 seconds where nothing else is said.
const SILENCE_MS = 10_000;
const LOOK_MS = 1000;

export function listen(job, seen, heard) {
  let last = seen;
  let failures = 0;
  let source = null;
  let timer = 0;
  let heardAt = performance.now();

  function open() {
    close();
    heardAt = performance.now();
    const own = new EventSource(`/api/job/${job}/stream?since=${last}`);
    const on = (name, what) => own.addEventListener(name, (message) => {
      if (source !== own) return;
      heardAt = performance.now();
      what(message);
    });
    source = own;
    on('open', () => {
      failures = 0;
      heard.here();
    });
    on('beat', () => {});
    on('record', (message) => {
      const record = JSON.parse(message.data);
      last = Math.max(last, record.seq);
      heard.record(record);
    });
    on('screen', (message) => {
      const { seen: newest, list_may_change: mayChange } = JSON.parse(message.data);
      heard.screen(newest, mayChange);
    });
    on('error', lost);
  }

  function close() {
    clearTimeout(timer);
    source?.close();
    source = null;
  }

  function lost() {
    close();
    heard.away();
    const wait = WAITS_MS[Math.min(failures, WAITS_MS.length - 1)];
    failures += 1;
    timer = setTimeout(open, wait);
  }

  // A phone that was asleep, or has lost its network without being told.
  function look() {
    if (source && performance.now() - heardAt > SILENCE_MS) lost();
  }

  function again() {
    failures = 0;
    open();
  }

  open();
  setInterval(look, LOOK_MS);
  addEventListener('offline', lost);
  addEventListener('online', again);
  addEventListener('pagehide', close);
  addEventListener('pageshow', (show) => {
    if (show.persisted) again();
  });
  document.addEventListener('visibilitychange', () => {
    const asleep = performance.now() - heardAt > SILENCE_MS;
    if (document.visibilityState === 'visible' && (asleep || !source)) again();
  });
}
