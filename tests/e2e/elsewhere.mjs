// Another site, and requests that only a program can make.

import http from 'node:http';

// Serves an empty page on another port: to a browser, another origin.
export async function startElsewhere() {
  const server = http.createServer((_, answer) => {
    answer.setHeader('content-type', 'text/html');
    answer.end('<!doctype html><title>elsewhere</title>');
  });
  await new Promise((resolve) => { server.listen(0, '127.0.0.1', resolve); });
  const address = `http://127.0.0.1:${server.address().port}`;
  return { address, end: () => new Promise((resolve) => { server.close(resolve); }) };
}

// Posts an entry with headers of one's own and gives the status of the answer.
export function rawPost(address, headers) {
  const body = JSON.stringify({
    version: 1,
    events: [{
      id: 'raw-1', sender: 'raw', count: 1, seen: 0, said_at_ms: 1, verb: 'said', note: 'raw',
    }],
  });
  return new Promise((resolve, reject) => {
    const request = http.request(
      {
        host: address.hostname,
        port: address.port,
        path: address.pathname,
        method: 'POST',
        headers: { 'content-type': 'application/json', ...headers },
      },
      (answer) => { answer.resume(); answer.on('end', () => resolve(answer.statusCode)); },
    );
    request.on('error', reject);
    request.end(body);
  });
}
