// Questions to the server that gave the page. Of each kind one is under way and one, the latest, waits: what came between is never sent.

const HEADER = "x-bench-token";

/** @typedef {Record<string, any>} Message */

export class Talk {
  /** @param {string} token */
  constructor(token) {
    this.token = token;
    this.page = [...crypto.getRandomValues(new Uint8Array(8))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    this.number = 0;
    /** @type {Record<string, {message: Message, done: (answer: any) => void} | null>} */
    this.waiting = {};
    /** @type {Record<string, boolean>} */
    this.busy = {};
    this.sent = 0; // bytes received, for the tests
  }

  /**
   * Ask; null for a question that was overtaken by a later one of its kind.
   * @param {string} kind @param {Message} message @returns {Promise<any>}
   */
  ask(kind, message) {
    return new Promise((done, failed) => {
      this.waiting[kind]?.done(null);
      this.waiting[kind] = { message, done };
      if (!this.busy[kind]) this.pump(kind).catch(failed);
    });
  }

  /** @param {string} kind */
  async pump(kind) {
    this.busy[kind] = true;
    try {
      for (let next = this.waiting[kind]; next; next = this.waiting[kind]) {
        this.waiting[kind] = null;
        let answer;
        try {
          answer = await this.send(kind, next.message);
        } catch {
          answer = { gone: true };
        }
        next.done(answer.dropped ? null : answer);
      }
    } finally {
      this.busy[kind] = false;
    }
  }

  /** @param {string} kind @param {Message} message */
  async send(kind, message) {
    this.number += 1;
    const response = await fetch(`/${kind}`, {
      method: "POST",
      headers: { [HEADER]: this.token, "content-type": "application/json" },
      body: JSON.stringify({ page: this.page, number: this.number, ...message }),
    });
    const type = response.headers.get("content-type") ?? "";
    if (type.startsWith("application/octet-stream")) {
      const bytes = await response.arrayBuffer();
      this.sent += bytes.byteLength;
      return { bytes };
    }
    if (!response.ok && !type.includes("json")) return { bad: (await response.text()).trim() };
    const told = await response.json();
    return told.refused ? { bad: told.refused } : told;
  }

  /** Keep a line open, so that the server knows that somebody looks; again after a laptop slept. @param {(there: boolean) => void} told */
  async stay(told) {
    for (;;) {
      try {
        const response = await fetch("/alive", { method: "POST", headers: { [HEADER]: this.token } });
        if (response.ok && response.body) {
          told(true);
          const reader = response.body.getReader();
          while (!(await reader.read()).done);
        }
      } catch {
        // the line is gone
      }
      told(false);
      await new Promise((later) => setTimeout(later, 2000));
    }
  }
}

/** A flight from bytes: length of a JSON text, the text, samples. @param {ArrayBuffer} bytes */
export function unpack(bytes) {
  const long = new DataView(bytes).getUint32(0, true);
  const told = JSON.parse(new TextDecoder().decode(new Uint8Array(bytes, 4, long)));
  told.run.data = bytes.slice(4 + long);
  return told;
}
