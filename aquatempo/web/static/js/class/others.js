// Other classes for the same wishes: what each is made of, and the way to it.

import { el } from "/static/js/dom.js";
import { goTo } from "/static/js/shell.js";
import { number, t } from "/static/js/words.js";
import { openSheet } from "/static/js/water/sheet.js";

export function showOthers(others) {
  openSheet(t("class.others"), (inside, close) => {
    inside.append(el("h2", { class: "about-title" }, t("class.others")), el("p", {}, t("class.others_text")),
      el("ul", { class: "plans" }, others.map((one) => el("li", {},
        el("button", { class: "plan-link", onclick: () => { close(); goTo("class", one.id); } },
          el("strong", {}, one.title), el("span", { class: "small" }, one.moves.join(", ")),
          el("span", { class: "small quiet" }, t("class.others_shared", { percent: number(100 * one.shared) })))))));
  }, "block-sheet");
}
