// A phone asks to be let in: the code stands behind the # of the scanned address, which a browser
// never sends, or is typed. It is shown once, for a cookie that scripts cannot read.

const SEND_TIME_MS = 8000;

let said;
let asking = false;

export function start() {
  const page = document.querySelector('[data-let-in]');
  if (!page) return;
  said = page.querySelector('[data-said]');
  page.querySelector('form[data-code]').addEventListener('submit', (submitted) => {
    submitted.preventDefault();
    ask(submitted.target.elements.namedItem('code').value);
  });
  addEventListener('hashchange', scanned);
  scanned();
}

function scanned() {
  const code = location.hash.slice(1);
  if (!code) return;
  // Used up in a moment: it need not stay in the history.
  history.replaceState(null, '', location.pathname);
  ask(code);
}

async function ask(code) {
  if (asking || !code.trim()) return;
  asking = true;
  said.textContent = 'One moment.';
  const answer = await send(code);
  asking = false;
  if (!answer.page) {
    said.textContent = answer.message ?? 'The server did not understand; try again.';
    return;
  }
  said.textContent = `This phone is let in as "${answer.name}".`;
  try {
    localStorage.setItem('lastbolt.sender', answer.name);
  } catch {
    // It then goes by the name that this browser makes up.
  }
  location.replace(answer.page);
}

async function send(code) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), SEND_TIME_MS);
  try {
    const answer = await fetch('/api/in', {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ version: 1, code }),
      signal: stop.signal,
    });
    return await answer.json();
  } catch {
    return { message: 'The server is not reached. Is this phone on the same network? Scan again.' };
  } finally {
    clearTimeout(timer);
  }
}
