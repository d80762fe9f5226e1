// The ear without a song: those that ask to be heard come first.

import { get } from "/static/js/api.js";
import { el } from "/static/js/dom.js";
import { goTo, sayWrong } from "/static/js/shell.js";
import { t, tempo } from "/static/js/words.js";

const SHOWN = 12;

export function openPick(place) {
  const list = el("ul", { class: "pick-list" });
  const words = el("p", { class: "quiet" });
  place.append(el("section", { class: "pick" }, el("header", { class: "part-head" }, el("h1", {}, t("frame.ear"))), words, list,
    el("button", { onclick: () => goTo("music") }, t("ear.to_music"))));
  fill().catch(sayWrong);

  async function fill() {
    let found = await get("/api/music", { only: "unsure", sort: "sure", limit: SHOWN });
    const unsure = found.matching > 0;
    if (!unsure) found = await get("/api/music", { sort: "title", limit: SHOWN });
    words.textContent = t(unsure ? "ear.pick_unsure" : found.total ? "ear.pick_any" : "ear.pick_none");
    list.replaceChildren(...found.rows.filter((row) => row.state === "heard").map((row) => el("li", {},
      el("a", { class: "button", href: `#ear/${row.id}` }, el("span", {}, row.title), el("span", { class: "quiet digits" }, row.tempo_bpm ? `${tempo(row.tempo_bpm)} bpm` : "")))));
  }
}
