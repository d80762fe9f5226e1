// Rows of the list as the machine has them, asked for a page at a time and kept while they hold.

import { get } from "/static/js/api.js";

const SIZE = 100;

export class Pages {
  // changed(): rows or totals are new.
  constructor(changed, failed) {
    this.changed = changed;
    this.failed = failed;
    this.query = {};
    this.state = null;            // the newest answer, for totals and progress
    this.pages = new Map();       // page -> { rows, version, number }
    this.asked = new Set();
    this.turn = 0;                // answers to an older query are dropped
    this.sent = this.newest = 0;  // and so are those that a later one of the same page overtook
  }

  get length() { return this.state ? this.state.matching : 0; }

  row(index) {
    const page = this.pages.get(Math.floor(index / SIZE));
    return page ? page.rows[index % SIZE] : undefined;
  }

  ask(query) {
    this.query = query;
    this.turn += 1;
    this.asked.clear();
    this.fresh = new Map();       // old rows stay in sight until new ones are there
    return this.load(0, true);
  }

  // Make sure that some rows are there, or on their way.
  want(first, last) {
    for (let page = Math.floor(first / SIZE); page <= Math.floor(Math.max(last, 0) / SIZE); page++) {
      const known = this.pages.get(page);
      if ((!known || known.version !== this.state?.version) && !this.asked.has(page)) this.load(page);
    }
  }

  // Something changed on the machine: look again at what is in sight.
  renew(first, last) {
    this.asked.clear();
    const page = Math.floor(first / SIZE);
    return this.load(page).then(() => this.want(first, last));
  }

  find(id) {
    for (const [page, { rows }] of this.pages) {
      const place = rows.findIndex((row) => row.id === id);
      if (place >= 0) return page * SIZE + place;
    }
    return -1;
  }

  async load(page, anew = false) {
    const turn = this.turn, number = ++this.sent;
    this.asked.add(page);
    try {
      const answer = await get("/api/music", { ...this.query, offset: page * SIZE, limit: SIZE });
      if (turn !== this.turn || number < (this.pages.get(page)?.number || 0)) return;
      if (anew) this.pages.clear();
      if (number >= this.newest) { this.newest = number; this.state = answer; }
      this.pages.set(page, { rows: answer.rows, version: answer.version, number });
      for (const one of this.pages.keys()) if (one * SIZE >= answer.matching) this.pages.delete(one);
      this.changed();
    } catch (error) {
      if (turn === this.turn) this.failed(error);
    } finally {
      this.asked.delete(page);
    }
  }
}
