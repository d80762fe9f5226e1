// The part Water: who is in it, how fast the music is, which moves keep their range there.

import { get } from "/static/js/api.js";
import { clear, el, text, whenQuiet } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { hear } from "/static/js/news.js";
import { goTo, sayWrong } from "/static/js/shell.js";
import { language, number, t, tempo } from "/static/js/words.js";
import { figureUrl } from "/static/js/water/figure.js";
import { makeForm } from "/static/js/water/form.js";
import { closeSheet, openSheet } from "/static/js/water/sheet.js";
import { ratingWords, rangeBar } from "/static/js/water/marks.js";
import { showMove } from "/static/js/water/move.js";

const USUAL_BPM = 130, LEAST_BPM = 60, MOST_BPM = 200;
const PATTERNS = ["1", "2", "4"];
const WIDE = matchMedia("(min-width: 75rem)");
let last = { bpm: USUAL_BPM, pattern: "2", move: "" };   // as it was left

// what: "" as it was left, a tempo, or the id of a song.
export function openWater(place, what) {
  if (/^\d+(\.\d+)?$/.test(what)) last.bpm = within(Number(what));
  let asked = 0, water = null;
  const song = el("p", { class: "quiet small water-song" });
  const bpm = el("input", { type: "number", id: "water-bpm", min: LEAST_BPM, max: MOST_BPM, step: 1, inputmode: "decimal", value: last.bpm, onchange: () => setBpm(Number(bpm.value)) });
  const slider = el("input", { type: "range", "aria-label": t("water.tempo"), min: 80, max: 180, step: 1, value: last.bpm, oninput: () => { bpm.value = slider.value; later(); }, onchange: () => setBpm(Number(slider.value)) });
  const patterns = el("div", { class: "choices", role: "radiogroup", "aria-label": t("water.pattern") }, PATTERNS.map((one) => el("label", {},
    el("input", { type: "radio", name: "water-pattern", value: one, checked: last.pattern === one, onchange: () => { last.pattern = one; ask(); } }),
    el("span", {}, t(`water.pattern_${one}`)))));
  const form = makeForm((shown) => { water = shown; text(fits, fitWords()); ask(); });
  const fits = el("p", { class: "small fits" });
  const moves = el("div", { class: "move-list", "aria-live": "off" }), about = el("aside", { class: "move-about", "aria-label": t("water.about") });
  place.append(el("section", { class: "water", "aria-labelledby": "water-head" },
    el("header", { class: "part-head" }, el("h1", { id: "water-head" }, t("water.head")), song),
    el("div", { class: "water-body" },
      el("div", { class: "water-form" }, form.element),
      el("div", { class: "water-moves" },
        el("div", { class: "water-tempo" },
          el("div", { class: "tempo-line" }, el("label", { for: "water-bpm" }, t("water.tempo")), bpm, el("span", {}, "bpm"), slider), patterns, fits),
        moves),
      about)));
  const later = whenQuiet(() => setBpm(Number(slider.value)), 250);
  const stops = [hear("water", () => form.renew())];
  form.renew();
  if (what && !/^\d/.test(what)) takeSong(what);
  drawAbout();

  async function takeSong(id) {
    try {
      const track = await get(`/api/tracks/${id}`);
      text(song, t("water.song", { title: track.title }));
      if (track.analysis.tempo_bpm) setBpm(Math.round(track.analysis.tempo_bpm * 10) / 10);
    } catch (error) { sayWrong(error); }
  }

  function setBpm(value) {
    const wanted = within(value || USUAL_BPM);
    bpm.value = wanted;
    slider.value = wanted;
    if (wanted === last.bpm && moves.querySelector("section")) return;
    last.bpm = wanted;
    text(fits, fitWords());
    ask();
  }

  function fitWords() {
    if (!water) return "";
    const [low, high] = water.tempo_bpm;
    const key = last.bpm < low ? "water.below" : last.bpm > high ? "water.above" : "water.fits";
    return t(key, { low: number(low), high: number(high) });
  }

  async function ask() {
    const mine = ++asked;
    if (!moves.firstChild) moves.append(el("p", { class: "quiet", role: "status" }, t("water.judging")));
    try {
      const { moves: rows } = await get("/api/moves", { tempo_bpm: last.bpm, pattern: last.pattern, language });
      if (mine === asked) { drawMoves(rows); drawAbout(); }
    } catch (error) { if (mine === asked) { sayWrong(error); moves.replaceChildren(); } }
  }

  function drawMoves(rows) {
    const focused = document.activeElement?.dataset?.move;
    const kinds = [...new Set(rows.map((row) => row.kind))];
    moves.replaceChildren(...kinds.map((kind) => {
      const id = `kind-${kind.replace(/ /g, "-")}`;
      return el("section", { "aria-labelledby": id }, el("h2", { id }, t(`water.kind_${kind.replace(/ /g, "_")}`)),
        el("ul", {}, rows.filter((row) => row.kind === kind).map((row) => el("li", {}, moveRow(row)))));
    }));
    if (focused) moves.querySelector(`[data-move="${CSS.escape(focused)}"]`)?.focus();
  }

  function moveRow(row) {
    return el("button", { class: "move-row", dataset: { move: row.key }, "aria-pressed": row.key === last.move ? "true" : "false", onclick: () => choose(row.key) },
      el("img", { class: "thumb", src: figureUrl(row.key, { first: true }), alt: "", loading: "lazy", width: 60, height: 66 }),
      el("span", { class: "move-name" }, row.name),
      rangeBar(row.range_kept, row.rating),
      el("span", { class: `rating ${row.rating.replace(/\W+/g, "-")}` }, ratingWords(row.rating)),
      el("span", { class: "quiet small effort digits" }, t("water.effort_row", { rpe: number(row.rpe), impact: t(`water.impact_${row.impact}`) })));
  }

  function choose(key) {
    last.move = key;
    for (const one of moves.querySelectorAll(".move-row")) one.setAttribute("aria-pressed", String(one.dataset.move === key));
    if (WIDE.matches) drawAbout();
    else openSheet(t("water.about"), (inside) => showMove(inside, key, last.bpm));
  }

  function drawAbout() {
    if (!WIDE.matches) return;
    if (last.move) showMove(about, last.move, last.bpm);
    else about.replaceChildren(el("p", { class: "quiet" }, t("water.about_none")));
  }

  return () => { stops.forEach((stop) => stop()); closeSheet(); };
}

function within(bpm) { return Math.min(MOST_BPM, Math.max(LEAST_BPM, bpm)); }
