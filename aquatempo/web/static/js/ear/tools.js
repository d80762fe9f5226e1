// What can be said of the count that is marked.

import { el, text } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { t } from "/static/js/words.js";

export function makeTools(actions) {
  const place = el("p", { class: "digits tools-place" });
  const counts = el("input", { type: "number", class: "digits", id: "bridge-counts", min: 1, max: 63, value: 8, inputmode: "numeric" });
  const remove = el("button", { "aria-label": t("ear.remove"), title: t("ear.remove"), onclick: actions.remove }, icon("join"), t("ear.join"));
  const wanted = () => Math.min(Math.max(Math.round(Number(counts.value)) || 8, 1), 63);
  const element = el("div", { class: "tools", role: "group", "aria-label": t("ear.tools") },
    el("div", { class: "tools-where" },
      el("button", { class: "plain square", "aria-label": t("ear.one_back"), onclick: () => actions.step(-1) }, icon("left")), place,
      el("button", { class: "plain square", "aria-label": t("ear.one_on"), onclick: () => actions.step(1) }, icon("right"))),
    el("span", { class: "tools-here", "aria-hidden": "true" }, t("ear.here")),
    el("button", { "aria-label": t("ear.one_here"), onclick: actions.one }, icon("one"), t("ear.one_short")),
    el("button", { "aria-label": t("ear.phrase_here"), onclick: actions.phrase }, icon("phrase"), t("ear.phrase_a")),
    el("span", { class: "bridge-here" },
      el("button", { "aria-label": t("ear.bridge_here"), onclick: () => actions.bridge(wanted()) }, icon("bridge"), t("ear.bridge_a")),
      el("label", { for: "bridge-counts", class: "unseen" }, t("ear.bridge_counts")), counts),
    remove);
  return {
    element,
    counts: wanted,
    show(at, lanes) {
      text(place, at ? lanes.placeWords(at) : t("ear.nowhere"));
      for (const button of element.querySelectorAll("button:not(.square)")) button.disabled = !at;
      remove.disabled = !at || at.index === 0;
    },
  };
}
