// One song as a row: what one sees of it without asking.

import { clear, el, text } from "/static/js/dom.js";
import { drop, surface, surfacePath } from "/static/js/icons.js";
import { clock, language, named, number, t, tempo } from "/static/js/words.js";

export function makeRow() {
  const parts = {
    title: el("span", { class: "title" }),
    place: el("span", { class: "place quiet" }),
    length: el("span", { class: "length digits" }),
    tempo: el("span", { class: "digits" }),
    sure: el("span", { class: "sure" }),
    energy: el("span", { class: "energy" }, surface("")),
    shallow: el("span", { class: "fit shallow" }),
    deep: el("span", { class: "fit deep" }),
    open: el("span", { class: "open", "data-open": "", "aria-hidden": "true" }),
  };
  const line = parts.energy.querySelector("path");
  const bpm = el("span", { class: "unseen" }, " bpm, ");
  const element = el("div", { class: "song" },
    el("span", { class: "name" }, parts.title, pause(), parts.place, pause()),
    parts.length, pause(), el("span", { class: "tempo" }, parts.tempo, bpm), parts.sure, pause(), parts.energy, parts.shallow, parts.deep, parts.open);
  let shown = null;

  function show(row) {
    if (row === shown) return;
    shown = row;
    element.className = `song ${row ? row.state : "coming"}`;
    text(parts.title, row ? row.title : "…");
    text(parts.open, t("music.listen"));
    const heard = row && row.state === "heard";
    text(parts.place, row ? lastFolder(row) : "");
    text(parts.length, heard ? clock(row.duration_s) : "");
    text(parts.tempo, heard ? (row.tempo_bpm ? tempo(row.tempo_bpm) : "–") : "");
    const [words, kind] = row ? sureOf(row) : ["", ""];
    text(parts.sure, words);
    parts.sure.className = `sure ${kind}`;
    line.setAttribute("d", heard ? surfacePath(row.strip, 96, 24) : "");
    for (const depth of ["shallow", "deep"]) showFit(parts[depth], heard ? fitOf(row, depth) : null, depth);
    bpm.hidden = !heard;
  }
  return { element, show };
}

// Most rows that come into sight say what the row said that goes: then nothing is made anew.
function showFit(place, fit, depth) {
  const now = fit ? `${fit.fit} ${language}` : "";
  if (place.shown === now) return;
  place.shown = now;
  clear(place);
  if (!fit) return;
  place.append(el("span", { class: "depth" }, t(`fit.${depth}`)), drop(fit.fit), el("span", { class: "word" }, named("fit", fit.fit)), pause());
}

export function fitOf(row, depth) {
  const found = row.fits.find((one) => one.fit.depth === depth);
  return found ? found.fit : null;
}

function sureOf(row) {
  if (row.state === "waiting") return [t("music.waiting"), "waiting"];
  if (row.state === "failed") return [t("music.unreadable"), "failed"];
  if (row.tempo_bpm === null) return [t("music.no_beat"), "failed"];
  if (row.corrected) return [t("music.corrected"), "corrected"];
  return row.is_sure ? [`${number(100 * row.sure)} %`, "yes"] : [t("music.check"), "check"];
}

// Heard, not seen: a screen reader reads a row as one sentence.
function pause() { return el("span", { class: "unseen" }, ", "); }

function lastFolder(row) {
  const parts = row.file.split(/[\\/]/);
  return parts.length > 1 ? parts[parts.length - 2] : "";
}
