// One stream a tab: says when something was recorded and when the list from there is ready.

const WAITS_MS = [1000, 2000, 5000, 10000, 20000];

export function listen(job, seen, heard) {
  let last = seen;
  let failures = 0;
  let source;

  function open() {
    source = new EventSource(`/api/job/${job}/stream?since=${last}`);
    source.addEventListener('open', () => {
      failures = 0;
    });
    source.addEventListener('record', (message) => {
      const record = JSON.parse(message.data);
      last = Math.max(last, record.seq);
      heard.record(record);
    });
    source.addEventListener('screen', (message) => heard.screen(JSON.parse(message.data).seen));
    source.addEventListener('error', () => {
      // The browser comes back by itself, unless it was turned away.
      if (source.readyState !== EventSource.CLOSED) return;
      const wait = WAITS_MS[Math.min(failures, WAITS_MS.length - 1)];
      failures += 1;
      setTimeout(open, wait);
    });
  }

  open();
  addEventListener('pagehide', () => source.close());
  addEventListener('pageshow', (show) => {
    if (show.persisted) open();
  });
}
