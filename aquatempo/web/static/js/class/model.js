// A plan as this window shows it: changes on its revision, undo, redo, what others changed.

import { get, newest, post } from "/static/js/api.js";
import { language } from "/static/js/words.js";

export class PlanModel {
  // told: { changed(plan), conflict(), failed(error) }
  constructor(id, told) { this.id = id; this.told = told; this.plan = null; this.busy = false; this.newest = newest(); }

  async load() {
    const plan = await this.newest(get(`/api/plans/${this.id}`, { language }));
    if (plan) this.take(plan);
  }

  // Another window, or long work, changed it: take that, unless it is what is shown.
  async heardOf(revision) { if (!this.busy && revision !== this.plan?.revision) await this.load(); }

  take(plan) { this.plan = plan; this.told.changed(plan); }

  change(kind, fields = {}) { return this.send("change", { change: { kind, ...fields } }); }
  undo() { if (this.plan.undo) return this.send("undo"); }
  redo() { if (this.plan.redo) return this.send("redo"); }

  async send(what, body = {}) {
    if (this.busy) return false;
    this.busy = true;
    try {
      const plan = await this.newest(post(`/api/plans/${this.id}/${what}`, { revision: this.plan.revision, language, ...body }));
      if (plan) this.take(plan);
      return true;
    } catch (error) {
      if (error.status === 409) this.told.conflict(); else this.told.failed(error);
      await this.load().catch(() => {});
      return false;
    } finally { this.busy = false; }
  }

  async again(songs) { return post(`/api/plans/${this.id}/again`, { revision: this.plan.revision, songs }); }
  async others() { return post(`/api/plans/${this.id}/others`, { language }); }
  async twin() { return post(`/api/plans/${this.id}/twin`); }
}
