// Asks the server for something that is no entry; an answer without content where it is away.

const TIME_MS = 8000;

export async function ask(address, words) {
  try {
    const answer = await fetch(address, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(words),
      signal: AbortSignal.timeout(TIME_MS),
    });
    return await answer.json();
  } catch {
    return {};
  }
}
