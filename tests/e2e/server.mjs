// Starts and ends the real program on a garage folder of its own.

import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import readline from 'node:readline';
import { fileURLToPath } from 'node:url';

export const root = fileURLToPath(new URL('../..', import.meta.url));
const program = process.env.LASTBOLT ?? path.join(root, 'target/release/lastbolt');
const BEGIN_TIME_MS = 20_000;

// A new empty garage folder; `remove` takes it away again.
export function garage() {
  const folder = mkdtempSync(path.join(tmpdir(), 'lastbolt-e2e-'));
  return { folder, remove: () => rmSync(folder, { recursive: true, force: true }) };
}

// Opens a demo, or the page of today where no file is given; gives the address that the program
// prints first; `printed` is all it said.
export async function open(file, folder, options = []) {
  const which = file === null ? [] : [path.join(root, file)];
  const child = spawn(
    program,
    ['open', ...which, '--no-browser', '--garage', folder, ...options],
    { stdio: ['ignore', 'pipe', 'pipe'] },
  );
  let said = '';
  child.stderr.on('data', (data) => { said += data; });
  const ended = new Promise((resolve) => { child.once('exit', (code) => resolve(code)); });
  let out = '';
  child.stdout.on('data', (data) => { out += data; });
  const lines = readline.createInterface({ input: child.stdout });
  const first = new Promise((resolve) => { lines.once('line', resolve); });
  let timer;
  const late = new Promise((_, reject) => {
    timer = setTimeout(() => reject(new Error(`no address printed: ${said}`)), BEGIN_TIME_MS);
  });
  const early = ended.then((code) => { throw new Error(`ended with ${code}: ${said}`); });
  early.catch(() => {});
  const address = await Promise.race([first, late, early]);
  clearTimeout(timer);
  const end = async (signal = 'SIGTERM') => {
    child.kill(signal);
    return ended;
  };
  return { address, end, said: () => said, printed: () => out + said };
}

// Runs a command to its end and gives what it printed.
export function run(words) {
  return new Promise((resolve) => {
    const child = spawn(program, words, { stdio: ['ignore', 'pipe', 'pipe'] });
    let out = '';
    let err = '';
    child.stdout.on('data', (data) => { out += data; });
    child.stderr.on('data', (data) => { err += data; });
    child.once('exit', (code) => resolve({ code, out, err }));
  });
}

// Ends what a file of tests began: browser, server, garage; what did not begin is left out.
export async function close(chrome, server, place) {
  await chrome?.close();
  await server?.end();
  place?.remove();
}
