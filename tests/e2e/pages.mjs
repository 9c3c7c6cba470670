// Every page that the server has, read from its own routes: a page that is new is not forgotten.

import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';

import { root } from './server.mjs';

const FLOOR = path.join(root, 'crates/floor/src');
// What is no page: data, fixed files, pictures, lists for a spreadsheet, sheets for a code.
const NO_PAGES = [/^\/api\//, /^\/asset\//, /\/photo\/\{photo\}/, /\/lists\/\{file\}$/];

// The paths of all pages, as the routes have them: "/job/{job}/list".
export function routes() {
  const files = readdirSync(FLOOR).filter((name) => /^routes.*\.rs$/.test(name));
  const found = [];
  for (const name of files) {
    const text = readFileSync(path.join(FLOOR, name), 'utf8');
    for (const [, route, method] of text.matchAll(/\.route\(\s*"([^"]+)",\s*(\w+)\(/g)) {
      if (method === 'get' && !NO_PAGES.some((no) => no.test(route))) found.push(route);
    }
  }
  return [...new Set(found)].sort();
}

// What to put into the braces of a path: the stages of the day, the sheets for paper.
const WORDS = { stage: 'crates/job/src/view/day.rs', sheet: 'crates/job/src/view/paper.rs' };
function wordsFor(brace) {
  const text = readFileSync(path.join(root, WORDS[brace]), 'utf8');
  const words = [...text.matchAll(/Self::\w+ => "([a-z][a-z_-]*)"/g)].map(([, word]) => word);
  return [...new Set(words)];
}

// The addresses of all pages of a job and of the garage. `things` has one thing of each sort.
export function addresses(job, { things, joints = [], photo }) {
  const all = [];
  for (const route of routes()) {
    const here = route.replace('{job}', job);
    const brace = /\{(\w+)\}/.exec(here)?.[1];
    if (brace in WORDS) {
      all.push(...wordsFor(brace).map((word) => here.replace(`{${brace}}`, word)));
    } else if (/\/joint$/.test(here)) {
      all.push(...joints.map((thing) => `${here}?thing=${encodeURIComponent(thing)}`));
    } else if (/\/(thing|facts|holds|entry|broke|hazard)$/.test(here)) {
      all.push(...things.map((thing) => `${here}?thing=${encodeURIComponent(thing)}`));
    } else if (/\/photo$/.test(here)) {
      if (photo) all.push(`${here}?photo=${photo}`);
    } else if (/\/gate$/.test(here)) {
      all.push(here, `${here}?before=road`);
    } else if (brace) {
      throw new Error(`say in pages.mjs how ${route} is opened`);
    } else {
      all.push(here);
    }
  }
  return all;
}
