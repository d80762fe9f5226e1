// Search, filter, sort: one query, told whenever it changes.

import { el, whenQuiet } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { t } from "/static/js/words.js";

const SORTS = ["added", "title", "length", "tempo", "sure", "shallow", "deep"];
let kept = { sort: "added", descending: false };      // as long as the window is open

export class Sieve {
  constructor(changed) {
    this.changed = changed;
    const told = () => this.tell();
    const soon = whenQuiet(told, 150);
    const select = (name, values) => el("select", { name, "aria-label": t(`music.${name}`), onchange: told },
      values.map((value) => el("option", { value, selected: (kept[name] || "") === value }, t(`music.${name}_${value || "all"}`))));
    const bpm = (name) => el("input", {
      type: "number", name, class: "bpm digits", min: 40, max: 240, inputmode: "numeric",
      placeholder: t(`music.${name}`), "aria-label": t(`music.${name}`), value: kept[name] || "", oninput: soon,
    });
    this.search = el("input", { type: "search", name: "search", placeholder: t("music.search_hint"), "aria-label": t("music.search"), value: kept.search || "", oninput: soon });
    this.sort = el("select", { name: "sort", "aria-label": t("music.sort"), onchange: () => this.sortBy(this.sort.value) },
      SORTS.map((value) => el("option", { value, selected: kept.sort === value }, `${t("music.sort")}: ${t(`music.sort_${value}`)}`)));
    this.element = el("form", { class: "sieve", role: "search", onsubmit: (event) => event.preventDefault() },
      el("span", { class: "search" }, icon("search"), this.search),
      el("button", { type: "button", class: "square more", "aria-expanded": "false", "aria-label": t("music.filter"), onclick: (event) => this.unfold(event.currentTarget) }, icon("filter")),
      el("div", { class: "sieve-rest" },
        select("suits", ["", "shallow", "deep"]), select("only", ["", "unsure", "failed", "waiting", "corrected"]),
        bpm("from_bpm"), bpm("to_bpm"), el("span", { class: "sort" }, this.sort)));
  }

  get query() { return { ...kept }; }

  get narrow() { return ["search", "suits", "only", "from_bpm", "to_bpm"].some((name) => kept[name]); }

  // The same once more turns it round.
  sortBy(name) {
    kept = { ...kept, descending: kept.sort === name ? !kept.descending : false, sort: name };
    this.sort.value = name;
    this.changed();
  }

  unfold(button) {
    const open = this.element.classList.toggle("unfolded");
    button.setAttribute("aria-expanded", String(open));
  }

  clear() {
    this.element.reset();
    for (const select of this.element.querySelectorAll("select")) if (select !== this.sort) select.value = "";
    for (const input of this.element.querySelectorAll("input")) input.value = "";
    this.tell();
  }

  tell() {
    const form = new FormData(this.element);
    kept = { ...kept };
    for (const name of ["search", "suits", "only", "from_bpm", "to_bpm"]) kept[name] = form.get(name) || "";
    this.changed();
  }
}
