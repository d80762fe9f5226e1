// What can be said of the count that is marked.

import { el, text } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { clock, t } from "/static/js/words.js";

export function makeTools(actions) {
  const place = el("p", { class: "digits tools-place" });
  const counts = el("input", { type: "number", class: "digits", id: "bridge-counts", min: 1, max: 63, value: 8, inputmode: "numeric" });
  const more = el("details", { class: "tools-more" });
  const remove = el("button", { "aria-label": t("ear.remove"), title: t("ear.remove"), onclick: actions.remove }, icon("join"), t("ear.join"));
  const wanted = () => Math.min(Math.max(Math.round(Number(counts.value)) || 8, 1), 63);
  const element = el("div", { class: "tools", role: "group", "aria-label": t("ear.tools") },
    el("div", { class: "tools-where" },
      el("button", { class: "plain square", "aria-label": t("ear.one_back"), onclick: () => actions.step(-1) }, icon("left")), place,
      el("button", { class: "plain square", "aria-label": t("ear.one_on"), onclick: () => actions.step(1) }, icon("right"))),
    el("button", { "aria-label": t("ear.one_here"), onclick: actions.one }, icon("one"), t("ear.one_short")),
    el("button", { "aria-label": t("ear.phrase_here"), onclick: actions.phrase }, icon("phrase"), t("ear.phrase_a")),
    el("span", { class: "bridge-here" },
      el("button", { "aria-label": t("ear.bridge_here"), onclick: () => actions.bridge(wanted()) }, icon("bridge"), t("ear.bridge_a")),
      el("label", { for: "bridge-counts", class: "unseen" }, t("ear.bridge_counts")), counts),
    remove, more);
  const silence = makeSilence(actions);
  more.append(el("summary", {}, icon("more"), t("ear.more")), el("div", { class: "more-list" },
    el("h3", {}, t("ear.from_here")),
    el("div", { class: "more-row" },
      el("button", { onclick: () => shut(() => actions.levelHere("half")) }, "½"), el("button", { onclick: () => shut(() => actions.levelHere("double")) }, "×2"),
      el("button", { onclick: () => shut(actions.oneFromHere) }, icon("one"), t("ear.one_here"))),
    el("h3", {}, t("ear.silence")), silence.element));
  function shut(act) { more.open = false; act(); }
  element.addEventListener("keydown", (event) => { if (event.key === "Escape") more.open = false; });
  return {
    element,
    counts: wanted,
    show(at, lanes) {
      text(place, at ? lanes.placeWords(at) : t("ear.nowhere"));
      for (const button of element.querySelectorAll("button:not(.square)")) button.disabled = !at;
      remove.disabled = !at || at.index === 0;
      silence.show(lanes);
    },
  };
}

// A stretch without a beat takes two presses: from here, to here.
function makeSilence(actions) {
  let from = null;
  const words = el("span", { class: "digits" });
  const first = el("button", { onclick: () => { from = actions.here(); draw(); } }, t("ear.silence_from"));
  const last = el("button", { onclick: () => { actions.noBeat(from, actions.here()); from = null; draw(); } }, t("ear.silence_to"));
  function draw() {
    text(words, from === null ? "" : t("ear.silence_begun", { at: clock(from, true) }));
    last.disabled = from === null;
  }
  draw();
  return { element: el("div", { class: "more-row" }, first, words, last), show: draw };
}
