// One song at length: how it suits, why, and what to do, in plain words.

import { clear, el } from "/static/js/dom.js";
import { goTo } from "/static/js/shell.js";
import { drop, icon, surface } from "/static/js/icons.js";
import { clock, named, number, t, tempo } from "/static/js/words.js";

const MOST_MOVES = 4;
const HEARD_SHARE = 0.04;         // a change of speed above it is heard

// Fill a place with what is known of a row; open(row): to the ear.
export function showAbout(place, row, open) {
  clear(place);
  if (!row) { place.append(el("p", { class: "quiet" }, t("music.about_none"))); return; }
  place.append(el("h2", { class: "about-title" }, row.title), el("p", { class: "quiet small about-file" }, row.file));
  if (row.state === "waiting") { place.append(el("p", {}, t("music.waiting"))); return; }
  if (row.state === "failed") {
    place.append(el("p", {}, t("music.unreadable")), el("p", { class: "quiet" }, row.failure));
    return;
  }
  place.append(
    el("p", { class: "about-figures digits" },
      el("strong", {}, row.tempo_bpm ? tempo(row.tempo_bpm) : "–"), " bpm · ", clock(row.duration_s)),
    el("div", { class: "about-energy" }, surface(row.strip)),
    el("p", {}, phraseWords(row)),
    el("p", { class: row.is_sure ? "" : "to-check" }, sureWords(row)),
    el("button", { class: "main", onclick: () => open(row) }, icon("ear"), t("music.listen_correct")),
    row.tempo_bpm ? el("button", { onclick: () => { place.closest("dialog")?.close(); goTo("water", row.id); } }, icon("water"), t("ear.to_water")) : null,
    ...row.fits.map((one) => fitPart(row, one)));
  if (row.notes.length)
    place.append(el("div", { class: "about-notes small quiet" }, el("h3", {}, t("music.notes")),
      el("ul", {}, row.notes.map((note) => el("li", {}, note)))));
}

function fitPart(row, { fit, causes }) {
  const words = causes.flatMap((cause) => causeWords(row, fit, cause));
  return el("div", { class: `about-fit ${fit.fit.replace(/ /g, "-")}` },
    el("h3", {}, drop(fit.fit), `${t(`fit.${fit.depth}`)}: ${named("fit", fit.fit)}`),
    el("ul", {}, words.map((one) => el("li", {}, one))));
}

function causeWords(row, fit, cause) {
  const places = { bpm: row.tempo_bpm ? tempo(row.tempo_bpm) : "–", low: fit.range_bpm[0], high: fit.range_bpm[1] };
  switch (cause) {
    case "in range": return [t("fit.in_range", places)];
    case "below": return [t("fit.below", places), ...speedWords(fit, "faster", "too_slow")];
    case "above": return [t("fit.above", places), ...speedWords(fit, "slower", "too_fast")];
    case "loses range": return [t("fit.loses_range", { moves: someOf(fit.losing_moves) })];
    case "not in four": return [t("fit.not_in_four", { n: row.beats_per_bar })];
    case "tempo moves": return [t("fit.tempo_moves", { percent: number(row.drift_percent, 1) })];
    case "no phrase": return [t("fit.no_phrase")];
    default: return [t("fit.no_beat")];
  }
}

function speedWords(fit, key, tooFar) {
  const share = Math.abs(fit.speed - 1);
  if (share === 0) return [t(`fit.${tooFar}`)];
  const words = t(`fit.${key}`, { percent: number(100 * share, 1) });
  return [share > HEARD_SHARE ? `${words} ${t("fit.is_heard")}` : words];
}

function someOf(names) {
  const some = names.slice(0, MOST_MOVES).join(", ");
  const more = names.length - MOST_MOVES;
  return more > 0 ? t("frame.and_more", { some, n: more }) : some;
}

function phraseWords(row) {
  const parts = [t("music.phrases", { n: row.phrases })];
  if (row.bridges) parts.push(t("music.bridges", { n: row.bridges }));
  if (row.breaks) parts.push(t("music.breaks", { n: row.breaks }));
  const words = parts.join(", ");
  return row.odd_counts.length ? `${words} ${t("music.odd_counts", { counts: row.odd_counts.join(", ") })}.` : `${words}.`;
}

function sureWords(row) {
  const percent = number(100 * (row.sure || 0));
  if (row.tempo_bpm === null) return t("music.no_beat");
  if (row.corrected) return `${t("music.corrected")}.`;
  if (row.is_sure) return t("music.sure_what", { percent });
  const others = row.alternatives.filter((one) => one.odds >= 0.02 && Math.abs(one.tempo_bpm / row.tempo_bpm - 1) > 0.01);
  if (row.tempo_is_sure || !others.length) return t("music.unsure_only", { percent });
  const tempos = [row.tempo_bpm, ...others.map((one) => one.tempo_bpm)].sort((a, b) => a - b).map(tempo)
    .reduce((one, other) => t("music.or", { one, other }));
  return t("music.unsure_what", { percent, tempos });
}
