// Questions to the site's API. Signing in again in another tab changes the token against forged requests, so it is
// read from its cookie each time.

export const csrfToken = () => document.cookie.match(/(?:^|; )csrftoken=([^;]+)/)?.[1] ?? "";

// { status, body }; status 0 where no answer came. Throws only if `signal` has ended it.
export async function ask(method, address, { body = null, signal } = {}) {
  const headers = { Accept: "application/json", "X-CSRFToken": csrfToken() };
  if (body) headers["Content-Type"] = "application/json";
  try {
    const answer = await fetch(address, { method, headers, body: body && JSON.stringify(body), redirect: "error", signal });
    return { status: answer.status, body: await answer.json().catch(() => null) };
  } catch (error) {
    if (error.name === "AbortError") throw error;
    return { status: 0, body: null };
  }
}

// One question at a time: the next one, or `drop`, gives up the one before.
export class Latest {
  // As `ask`, after a pause in which another may take its place; null for one that was given up.
  async ask(method, address, { body = null, pause_ms = 0 } = {}) {
    this.drop();
    const { signal } = (this._running = new AbortController());
    await new Promise((over) => setTimeout(over, pause_ms));
    if (signal.aborted) return null;
    try {
      const answer = await ask(method, address, { body, signal });
      return signal.aborted ? null : answer;
    } catch {
      return null; // given up: nothing else is thrown
    }
  }

  drop() {
    this._running?.abort();
  }
}
