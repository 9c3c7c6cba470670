// Which entries came from one tap, so that one tap takes them back.

const key = (job) => `lastbolt.together.${job}`;

export function keep(job, ids) {
  try {
    sessionStorage.setItem(key(job), JSON.stringify(ids));
  } catch {
    // Not kept: they are taken back one by one.
  }
}

export function read(job) {
  try {
    return JSON.parse(sessionStorage.getItem(key(job))) ?? [];
  } catch {
    return [];
  }
}
