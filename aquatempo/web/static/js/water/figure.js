// A figure of a move: it moves at the beat, or shows its end positions; from either side, mirrored.

import { el, text } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { language, t } from "/static/js/words.js";

const STILL = matchMedia("(prefers-reduced-motion: reduce)");
const VIEWS = ["side", "front", "turned"];

// What a figure of a move is asked with; see the description of the endpoint.
export function figureUrl(move, how = {}) {
  const known = Object.entries({ move, language, ...how }).filter(([, value]) => value !== "" && value !== undefined && value !== false);
  return `/api/figure.svg?${new URLSearchParams(known)}`;
}

// Returns { element, show(move, name, bpm) }.
export function makeFigure(best = "side") {
  let move = "", name = "", bpm = 130, view = best, mirrored = false, moving = !STILL.matches;
  const picture = el("img", { class: "figure-picture", alt: "" });
  const play = el("button", { class: "plain", onclick: () => { moving = !moving; draw(); } });
  const turn = el("select", { "aria-label": t("water.view"), onchange: () => { view = turn.value; draw(); } },
    VIEWS.map((one) => el("option", { value: one, selected: one === view }, t(`water.view_${one}`))));
  const mirror = el("button", { class: "plain", "aria-pressed": "false", onclick: () => { mirrored = !mirrored; mirror.setAttribute("aria-pressed", String(mirrored)); draw(); } }, t("water.mirrored"));
  const element = el("figure", { class: "figure" }, picture, el("div", { class: "figure-tools" }, play, turn, mirror));

  function draw() {
    play.replaceChildren(icon(moving ? "pause" : "play"), t(moving ? "water.ends" : "water.moving"));
    picture.src = figureUrl(move, { tempo_bpm: moving ? bpm : undefined, view, mirrored });
    picture.alt = t(moving ? "water.alt_moving" : "water.alt_ends", { name, view: t(`water.view_${view}`) });
  }

  return { element, show(key, words, tempo) { move = key; name = words; bpm = tempo; draw(); } };
}
