// A long list of which only the rows in sight exist. It is one stop for the keyboard, and
// the arrow keys move in it.

import { el, eachFrame, set, text } from "/static/js/dom.js";

const MORE = 6;                   // rows kept ready beyond the edges

export class LongList {
  // make() returns { element, show(row, index) }; chosen(row, index, opened): opened by Enter or twice.
  constructor({ label, pages, make, chosen, rowHeight }) {
    this.pages = pages;
    this.make = make;
    this.chosen = chosen;
    this.rowHeight = rowHeight;
    this.active = -1;
    this.rows = new Map();        // index -> row in use
    this.spare = [];
    this.sheet = el("div", { class: "rows" });
    this.element = el("div", { class: "song-list", role: "listbox", tabindex: "0", "aria-label": label }, this.sheet);
    this.draw = eachFrame(() => this.drawNow());
    this.element.addEventListener("scroll", this.draw, { passive: true });
    this.element.addEventListener("keydown", (event) => this.key(event));
    this.element.addEventListener("click", (event) => this.click(event, false));
    this.element.addEventListener("dblclick", (event) => this.click(event, true));
    this.watch = new ResizeObserver(() => { this.height = 0; this.draw(); });
    this.watch.observe(this.element);
  }

  close() { this.watch.disconnect(); }

  // The rows changed: show what there is now.
  renew() { this.draw(); }

  range() {
    const top = this.element.scrollTop, height = this.element.clientHeight, row = this.rowPixels();
    return [Math.max(0, Math.floor(top / row) - MORE), Math.min(this.pages.length - 1, Math.ceil((top + height) / row) + MORE)];
  }

  rowPixels() { return this.height || (this.height = this.rowHeight()); }

  drawNow() {
    const [first, last] = this.range(), row = this.rowPixels();
    this.sheet.style.height = `${this.pages.length * row}px`;
    for (const [index, used] of this.rows)
      if (index < first || index > last) { this.rows.delete(index); this.spare.push(used); used.element.hidden = true; }
    for (let index = first; index <= last; index++) {
      let used = this.rows.get(index);
      if (!used) { used = this.spare.pop() || this.made(); this.rows.set(index, used); used.element.hidden = false; used.at = -1; }
      if (used.at !== index || used.row !== row) {
        used.at = index; used.row = row;
        used.element.style.transform = `translateY(${index * row}px)`;
        used.element.style.height = `${row}px`;
        used.element.id = `song-${index}`;
        used.element.setAttribute("aria-posinset", index + 1);
      }
      set(used.element, "aria-setsize", this.pages.length);
      set(used.element, "aria-selected", String(index === this.active));
      used.show(this.pages.row(index), index);
    }
    this.pages.want(first, last);
    const active = this.rows.has(this.active) ? `song-${this.active}` : null;
    if (active) this.element.setAttribute("aria-activedescendant", active); else this.element.removeAttribute("aria-activedescendant");
  }

  made() {
    const row = this.make();
    row.element.setAttribute("role", "option");
    this.sheet.append(row.element);
    return row;
  }

  choose(index, opened = false) {
    if (index < 0 || index >= this.pages.length) return;
    this.active = index;
    const row = this.rowPixels(), top = index * row, box = this.element;
    if (top < box.scrollTop) box.scrollTop = top;
    else if (top + row > box.scrollTop + box.clientHeight) box.scrollTop = top + row - box.clientHeight;
    this.drawNow();
    const chosen = this.pages.row(index);
    if (chosen) this.chosen(chosen, index, opened);
  }

  click(event, twice) {
    const option = event.target.closest("[role=option]");
    if (!option) return;
    this.choose(Number(option.id.slice("song-".length)), twice || Boolean(event.target.closest("[data-open]")));
  }

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const page = Math.max(1, Math.floor(this.element.clientHeight / this.rowPixels()) - 1);
    const steps = { ArrowDown: 1, ArrowUp: -1, PageDown: page, PageUp: -page };
    const last = this.pages.length - 1;
    if (event.key in steps) this.choose(Math.min(Math.max(this.active + steps[event.key], 0), last));
    else if (event.key === "Home") this.choose(0);
    else if (event.key === "End") this.choose(last);
    else if (event.key === "Enter") this.choose(this.active, true);
    else return;
    event.preventDefault();
  }
}
