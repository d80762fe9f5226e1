// The track in the ear: what is heard in it, and changes that the machine makes and keeps.

import { bytes, get, post } from "/static/js/api.js";
import { Grid } from "/static/js/ear/grid.js";

export class EarModel {
  // changed(): there is something new to show. conflict(): it was changed elsewhere.
  constructor(id, { changed, conflict, failed }) {
    Object.assign(this, { id, changed, conflict, failed });
    this.path = `/api/tracks/${encodeURIComponent(id)}`;
    this.track = null;
    this.levels = new Uint8Array(0);
    this.loud = 255;
    this.busy = Promise.resolve();      // changes go one after the other
  }

  async load() {
    this.take(await get(this.path));
    if (this.track.can_play)
      bytes(`${this.path}/levels`).then((data) => this.takeLevels(new Uint8Array(data)), this.failed);
  }

  // The machine says that this track is at another revision now.
  // Its turn comes among the changes: what is asked for before one does not come in after it.
  heardOf(revision) {
    if (!this.track || revision === this.track.revision) return;
    this.inTurn(async () => { if (revision !== this.track.revision) this.take(await get(this.path)); });
  }

  change(kind, facts = {}) { return this.ask("change", () => ({ change: { kind, ...facts } })); }
  undo() { return this.track.undo ? this.ask("undo", () => ({})) : Promise.resolve(); }
  redo() { return this.track.redo ? this.ask("redo", () => ({})) : Promise.resolve(); }

  ask(what, body) {
    return this.inTurn(async () => {
      try {
        this.take(await post(`${this.path}/${what}`, { revision: this.track.revision, ...body() }));
      } catch (error) {
        if (error.status !== 409) throw error;
        this.take(await get(this.path));
        this.conflict();
      }
    });
  }

  // One after the other; what fails is told, and those after it still have their turn.
  inTurn(act) { return this.busy = this.busy.then(act).catch((error) => this.failed(error)); }

  take(track) {
    this.track = track;
    this.grid = new Grid(track.analysis);
    this.changed();
  }

  // Levels are shown against the loud parts of the song, not against full scale.
  takeLevels(levels) {
    const sorted = levels.slice().sort();
    this.loud = Math.max(40, sorted[Math.floor(0.99 * (sorted.length - 1))] || 0);
    this.levels = levels;
    this.changed();
  }

  // The loudest level between two times, 0 to 1.
  level(from, to) {
    const step = this.track.levels_step_s;
    const first = Math.max(0, Math.floor(from / step)), last = Math.min(this.levels.length, Math.max(first + 1, Math.ceil(to / step)));
    let most = 0;
    for (let i = first; i < last; i++) if (this.levels[i] > most) most = this.levels[i];
    return Math.min(1, most / this.loud);
  }
}
