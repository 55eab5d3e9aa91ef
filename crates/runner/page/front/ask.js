// The requests of this page, and one runner a variant that always works on the newest wish.

// Behind the mark of the address, so that it is in no request line.
export const key = location.hash.slice(1);

const pause = (ms) => new Promise((done) => setTimeout(done, ms));

export class Refused extends Error {}

export async function ask(path, body, signal) {
  for (let turn = 0; ; turn += 1) {
    const answer = await fetch(path, {
      method: "POST",
      headers: { "content-type": "application/json", "x-suncask-key": key },
      body: JSON.stringify(body),
      signal,
    });
    const busy = answer.status === 429 || answer.status === 503;
    if (busy && turn < 5) {
      await pause(300 * (turn + 1));
      continue;
    }
    const told = await answer.json();
    if (!answer.ok || told.refused) {
      throw new Refused(told.refused ?? told.error);
    }
    return told;
  }
}

// A year that takes longer than this is given up for a newer wish; a shorter one is worth waiting for, so that a slider that
// is dragged shows figures on its way.
const PATIENCE_MS = 600;

export class Runner {
  constructor(answered, failed) {
    this.answered = answered;
    this.failed = failed;
    this.wish = null;
    this.running = null;
  }

  // Runs a request, or keeps it for the moment the one before is back. The last wish is never lost.
  want(wish) {
    this.wish = wish;
    if (!this.running) {
      this.run();
    } else if (performance.now() - this.running.since > PATIENCE_MS) {
      this.running.stop.abort();
    }
  }

  get idle() {
    return !this.running && !this.wish;
  }

  async run() {
    while (this.wish) {
      const wish = this.wish;
      this.wish = null;
      const stop = new AbortController();
      this.running = { since: performance.now(), stop };
      let answer = null;
      try {
        answer = await ask("/year", wish.body, stop.signal);
      } catch (fault) {
        if (fault.name !== "AbortError") {
          this.failed(fault, wish);
        }
      }
      // Outside: a fault of the page itself is no fault of the server.
      if (answer && !answer.overtaken) {
        try {
          this.answered(answer, wish);
        } catch (fault) {
          setTimeout(() => {
            throw fault;
          });
        }
      }
    }
    this.running = null;
  }
}
