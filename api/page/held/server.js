// @ts-check
/** Asking the server. */

/** What the server says is wrong; see RFC 9457. */
export class Problem extends Error {
  /** @param {number} status @param {any} told */
  constructor(status, told) {
    super(told.detail || told.title || `the server answered ${status}`);
    this.status = status;
    /** @type {{file?: string, line?: number, column?: number, detail: string, text?: string}[]} */
    this.errors = told.errors || [];
  }
}

const TOKEN = "tradeopt token";

/** Keep the token until the window is closed. @param {string} token */
export function keepToken(token) {
  sessionStorage.setItem(TOKEN, token);
}

/**
 * @param {string} path
 * @param {RequestInit} [options]
 * @returns {Promise<Response>}
 */
async function answered(path, options = {}) {
  const token = sessionStorage.getItem(TOKEN);
  const headers = { ...options.headers, ...(token ? { Authorization: `Bearer ${token}` } : {}) };
  let answer;
  try {
    answer = await fetch(path, { ...options, headers });
  } catch (error) {
    if (options.signal?.aborted) throw error;
    throw new Problem(0, { detail: "the server cannot be reached; is tradeopt serve still running?" });
  }
  if (!answer.ok) throw new Problem(answer.status, await answer.json().catch(() => ({})));
  return answer;
}

/**
 * @param {string} path
 * @param {AbortSignal} [signal]
 * @returns {Promise<any>}
 */
export async function ask(path, signal) {
  return (await answered(path, { headers: { Accept: "application/json" }, signal })).json();
}

/**
 * @param {string} path
 * @param {any} body
 * @param {Record<string, string>} [headers]
 * @returns {Promise<any>}
 */
export async function send(path, body, headers = {}) {
  const answer = await answered(path, {
    method: "POST",
    headers: { "Content-Type": "application/json", Accept: "application/json", ...headers },
    body: JSON.stringify(body),
  });
  return answer.json();
}

/** @param {string} path @returns {Promise<Blob>} */
export async function content(path) {
  return (await answered(path)).blob();
}

/**
 * Listen to server-sent events until the end, coming back after every break where it was.
 * @param {string} path
 * @param {(kind: string, data: any) => void} heard
 * @param {AbortSignal} signal
 * @param {(there: boolean) => void} connected
 */
export async function listen(path, heard, signal, connected) {
  let last = "";
  let ended = false;
  let pause = 1000;
  while (!ended && !signal.aborted) {
    try {
      const headers = { Accept: "text/event-stream", ...(last ? { "Last-Event-ID": last } : {}) };
      const answer = await answered(path, { headers, signal });
      connected(true);
      pause = 1000;
      for await (const event of eventsOf(answer)) {
        if (event.id) last = event.id;
        heard(event.kind, event.data);
        ended = ended || event.kind === "end";
      }
    } catch (error) {
      if (signal.aborted) return;
      if (error instanceof Problem && error.status >= 400 && error.status < 500) throw error;
      connected(false);
      pause = Math.min(2 * pause, 15000);
    }
    if (!ended) await new Promise((resume) => setTimeout(resume, pause * (0.75 + 0.5 * Math.random())));
  }
}

/** @param {Response} answer */
async function* eventsOf(answer) {
  const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
  let rest = "";
  for (;;) {
    const { value, done } = await reader.read();
    if (done) return;
    const blocks = (rest + value.replaceAll("\r\n", "\n")).split("\n\n");
    rest = blocks.pop();
    for (const block of blocks) {
      const event = { id: "", kind: "message", text: "" };
      for (const line of block.split("\n")) {
        const [, name, words] = /^(\w+): ?(.*)$/.exec(line) || [];
        if (name === "id") event.id = words;
        if (name === "event") event.kind = words;
        if (name === "data") event.text += words;
      }
      if (event.text) yield { id: event.id, kind: event.kind, data: JSON.parse(event.text) };
    }
  }
}

/** @param {string} id */
export function runPath(id) {
  return `/v1/runs/${encodeURIComponent(id)}`;
}

/** @param {string} id */
export function pagePath(id) {
  return `/page/runs/${encodeURIComponent(id)}`;
}
