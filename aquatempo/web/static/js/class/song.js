// One song of a plan: its phrases and blocks, and what can be done with it.

import { get } from "/static/js/api.js";
import { el } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { goTo, sayWrong } from "/static/js/shell.js";
import { clock, number, t, tOr, tempo } from "/static/js/words.js";
import { openSheet } from "/static/js/water/sheet.js";
import { openBlock } from "/static/js/class/block.js";
import { part } from "/static/js/class/band.js";

const MOST_SONGS = 1000;

export function drawSong(place, model, track) {
  const { plan } = model, played = track.tempo_bpm * track.speed;
  const locked = track.locked;
  place.replaceChildren(
    el("header", {}, el("h2", { tabindex: "-1" }, `${number(track.number)}. ${track.title}`),
      el("p", { class: "small quiet" }, [part(track.part), `${clock(track.at_s)}–${clock(track.at_s + track.lasts_s)}`, track.clock ? t("class.by_clock") : `${tempo(played)} bpm`, track.speed !== 1 ? t("class.speed", { percent: number(100 * track.speed, 1) }) : ""].filter(Boolean).join(" · "))),
    el("div", { class: "song-tools" },
      lockButton(model, String(track.number), locked, track.title),
      el("button", { disabled: track.number === 1 || null, onclick: () => model.change("move song", { track: track.number, to: track.number - 1 }) }, icon("left"), t("class.earlier")),
      el("button", { disabled: track.number === plan.tracks.length || null, onclick: () => model.change("move song", { track: track.number, to: track.number + 1 }) }, t("class.later"), icon("right")),
      el("button", { onclick: () => pickSong(t("class.replace_with", { title: track.title }), (song) => model.change("replace song", { track: track.number, song })) }, t("class.replace")),
      el("button", { onclick: () => pickSong(t("class.add_after", { title: track.title }), (song) => model.change("add song", { track: track.number, song })) }, icon("plus"), t("class.add")),
      el("button", { onclick: () => model.change("drop song", { track: track.number }) }, icon("close"), t("class.drop")),
      track.song ? el("button", { onclick: () => goTo("ear", track.song) }, icon("ear"), t("frame.ear")) : null),
    el("ol", { class: "phrases" }, track.phrases.map((phrase) => phraseLine(model, track, phrase))));
}

// "verse 2" in the language of the page; the name of a favourite stays as it is.
function sectionWords(section) {
  const [, name, place] = /^(\D*?)(?: (\d+))?$/.exec(section) || [null, "", ""];
  const words = name && tOr(`class.section_${name.replace(/\W+/g, "_")}`, "");
  return words ? [words, place].filter(Boolean).join(" ") : section;
}

function phraseLine(model, track, phrase) {
  const kind = phrase.kind === "phrase" ? t(`ear.energy_${phrase.energy}`) : t(`ear.${phrase.kind}`);
  return el("li", { class: `phrase ${phrase.kind} ${phrase.energy}`, id: `place-${phrase.place.replace(/\./g, "-")}` },
    el("div", { class: "phrase-head small digits" },
      el("span", {}, clock(phrase.at_s)), el("span", { class: "quiet" }, [`${number(phrase.counts)} ${t("class.counts")}`, kind, sectionWords(phrase.section)].filter(Boolean).join(" · ")),
      el("button", { class: "plain square lock", "aria-pressed": String(phrase.locked), "aria-label": t(phrase.locked ? "class.unlock_phrase" : "class.lock_phrase", { place: phrase.place }), onclick: () => model.change(phrase.locked ? "unlock" : "lock", { place: phrase.place }) }, icon(phrase.locked ? "lock" : "unlock"))),
    el("div", { class: "blocks" }, phrase.blocks.map((block) => el("button", {
      class: "block", id: `place-${block.place.replace(/\./g, "-")}`, style: { "flex-grow": String(block.counts) },
      onclick: () => openBlock(model, block, track.tempo_bpm * track.speed),
    },
      el("span", { class: "block-name" }, block.name, block.locked ? icon("lock") : null),
      el("span", { class: "small" }, [...block.options, block.lead ? t(`class.lead_${block.lead}`) : "", block.works === null ? "" : t(block.works ? "class.work_turn" : "class.rest_turn")].filter(Boolean).join(", ")),
      el("span", { class: "small quiet digits" }, `${number(block.counts)}`)))));
}

export function lockButton(model, place, locked, name) {
  return el("button", { "aria-pressed": String(locked), "aria-label": t(locked ? "class.unlock_name" : "class.lock_name", { name }), onclick: () => model.change(locked ? "unlock" : "lock", { place }) },
    icon(locked ? "lock" : "unlock"), t(locked ? "class.locked" : "class.lock"));
}

// A song of the list, chosen by its title.
async function pickSong(label, take) {
  let rows;
  try { rows = (await get("/api/music", { limit: MOST_SONGS, sort: "title" })).rows.filter((row) => row.state === "heard"); } catch (error) { sayWrong(error); return; }
  openSheet(label, (inside, close) => {
    const list = el("ul", { class: "song-picks" });
    const search = el("input", { type: "search", "aria-label": t("music.search"), placeholder: t("music.search_hint"), oninput: () => draw() });
    const draw = () => {
      const wanted = search.value.trim().toLowerCase();
      list.replaceChildren(...rows.filter((row) => row.title.toLowerCase().includes(wanted)).slice(0, 100).map((row) => el("li", {},
        el("button", { onclick: () => { close(); take(row.id); } }, el("strong", {}, row.title), el("span", { class: "small quiet digits" }, `${row.tempo_bpm ? tempo(row.tempo_bpm) : "–"} bpm · ${clock(row.duration_s)}`)))));
    };
    inside.append(el("h2", {}, label), search, list);
    draw();
    search.focus();
  });
}


