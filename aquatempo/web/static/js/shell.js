// The frame round all parts: where one is, going elsewhere, what is said, what is wrong.

import { clear, el, text } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { hear } from "/static/js/news.js";
import { openSettings } from "/static/js/settings-dialog.js";
import { whenSettingsChange } from "/static/js/settings.js";
import { t } from "/static/js/words.js";
import { openClass } from "/static/js/class/view.js";
import { openEar } from "/static/js/ear/view.js";
import { openMusic } from "/static/js/music/view.js";
import { openPool } from "/static/js/pool/view.js";
import { openWater } from "/static/js/water/view.js";

// A part opens in a place and returns what closes it. what: the rest of the address.
const PARTS = { music: openMusic, ear: openEar, water: openWater, class: openClass, pool: openPool };
const SAID_MS = 5000;
let close = () => {};
let links = {};
let frame = null;

export function openShell(place) {
  frame = {
    notice: el("div", { id: "notice", role: "status" }),
    part: el("main", { id: "part", tabindex: "-1" }),
    said: el("div", { class: "said", role: "status", "aria-live": "polite" }),
    parts: el("nav", { class: "parts" }),
  };
  place.append(frame.notice, frame.part, frame.parts, frame.said);
  drawParts();
  addEventListener("hashchange", show);
  whenSettingsChange((_, changed) => {
    if (changed.some((one) => one === "language" || one === "units")) { drawParts(); show(); }
  });
  hear("lost", () => text(frame.notice, t("frame.lost")));
  hear("back", () => text(frame.notice, ""));
  hear("end", () => text(frame.notice, t("frame.ended")));
  show();
}

export function goTo(part, what = "") {
  location.hash = what ? `${part}/${encodeURIComponent(what)}` : part;
}

// Say one line for a while; wrong: that something could not be done.
export function say(words, wrong = false) {
  const line = el("p", { class: wrong ? "wrong" : "" }, words);
  frame.said.append(line);
  setTimeout(() => line.remove(), SAID_MS + 40 * words.length);
}

// Say why something failed. The machine's own sentences are English.
export function sayWrong(error) {
  if (error.name === "AbortError") return;
  if (error.kind === "gone") say(t("frame.gone"), true);
  else say(error.message || String(error), true);
}

function drawParts() {
  links = {};
  clear(frame.parts);
  frame.parts.setAttribute("aria-label", t("frame.parts"));
  const items = Object.keys(PARTS).map((part) => {
    links[part] = el("a", { href: `#${part}` }, icon(part), el("span", {}, t(`frame.${part}`)));
    return el("li", {}, links[part]);
  });
  const settings = () => el("button", { class: "plain", onclick: openSettings }, icon("settings"), el("span", {}, t("frame.settings")));
  frame.parts.append(
    el("div", { class: "sign" }, el("img", { src: "/static/mark.svg", alt: "" }), "aquatempo"),
    el("hr", { class: "rope" }),
    el("ol", {}, items, el("li", { class: "narrow-only" }, settings())),
    el("div", { class: "foot" }, settings()),
  );
  mark();
}

function show() {
  const [part, what] = address();
  close();
  clear(frame.part);
  close = PARTS[part](frame.part, what) || (() => {});
  document.title = `${t(`frame.${part}`)} – aquatempo`;
  mark();
}

function mark() {
  const [part] = address();
  for (const [name, link] of Object.entries(links))
    if (name === part) link.setAttribute("aria-current", "page"); else link.removeAttribute("aria-current");
}

function address() {
  const [part, what = ""] = location.hash.slice(1).split("/");
  return [part in PARTS ? part : "music", decodeURIComponent(what)];
}
