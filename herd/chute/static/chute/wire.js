/** Calls to the API of this site: signed with the device's token, every failure told as one of ours. */

const API = new URL("../api/v1/", location.href);
const TIMEOUT = 60_000;
const AGAIN_LATER = new Set([408, 425, 429, 502, 503, 504]);

/** The server can't be reached now, or is busy; `wait` is how many milliseconds it asked for. */
export class Offline extends Error {
  /** @param {string} message @param {number} [wait] */
  constructor(message, wait = 0) {
    super(message);
    this.wait = wait;
  }
}

/** The server was reached and stumbled (500). */
export class Faulty extends Offline {}

/** The server refused a call; `word` is the end of its problem's type (RFC 9457). */
export class Refused extends Error {
  /** @param {number} status @param {any} problem */
  constructor(status, problem) {
    super(problem.detail ?? problem.title ?? `The server refused it (${status}).`);
    this.status = status;
    this.word = String(problem.type ?? "").split(":").pop();
  }
}

/** The token does not hold any more. */
export class Blocked extends Refused {}

export class Wire {
  /** @param {() => string} token */
  constructor(token) {
    this.token = token;
  }

  /** @param {string} path @returns {Promise<any>} */
  async get(path) {
    return read(await this.fetch(path, {}));
  }

  /** @param {string} path @param {string | FormData} body JSON as text, or a form @param {Record<string, string>} more headers @returns {Promise<any>} */
  async post(path, body, more = {}) {
    const headers = typeof body === "string" ? { "Content-Type": "application/json" } : {};
    return read(await this.fetch(path, { method: "POST", body, headers: { ...headers, ...more } }));
  }

  /** Lines as they come, a last one without its end left out. @param {string} path */
  async *lines(path) {
    const answer = await this.fetch(path, {});
    if (answer.status !== 200) throw await fault(answer);
    const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
    let rest = "";
    for (;;) {
      const { done, value } = await reader.read().catch(() => { throw new Offline("The answer was cut off."); });
      if (done) return;
      const parts = (rest + value).split("\n");
      rest = parts.pop();
      yield* parts;
    }
  }

  /** @param {string} path @param {RequestInit} options */
  async fetch(path, options) {
    const signed = this.token() ? { Authorization: `Bearer ${this.token()}` } : {};
    const headers = { ...options.headers, ...signed };
    const bounds = { credentials: "omit", cache: "no-store", redirect: "error", signal: AbortSignal.timeout(TIMEOUT) };
    try {
      return await fetch(new URL(path, API), { ...options, ...bounds, headers });
    } catch {
      throw new Offline("There is no way to the server now.");
    }
  }
}

/** @param {Response} answer @returns {Promise<any>} */
async function read(answer) {
  if (!answer.ok) throw await fault(answer);
  try {
    return await answer.json();
  } catch {
    throw new Offline("What answered is not the server: the network may want you to sign in.");
  }
}

/** @param {Response} answer */
async function fault(answer) {
  const { status } = answer;
  const wait = waitOf(answer.headers.get("Retry-After"));
  if (AGAIN_LATER.has(status)) return new Offline("The server is busy.", wait);
  if (status >= 500) return new Faulty("The server stumbled.", wait);
  const problem = await answer.json().catch(() => null);
  if (status === 401) return new Blocked(status, problem ?? {});
  if (problem?.type || status === 413) return new Refused(status, problem ?? {});
  return new Offline("What answered is not the server: the network may want you to sign in.");
}

/** Milliseconds of a Retry-After, a number of seconds or a moment (RFC 9110, section 10.2.3). @param {string | null} text */
export function waitOf(text) {
  if (!text) return 0;
  const seconds = /^\d+$/.test(text.trim()) ? Number(text) : (Date.parse(text) - Date.now()) / 1000;
  return Number.isFinite(seconds) ? Math.min(Math.max(0, seconds), 3600) * 1000 : 0;
}
