// What one looks at and presses while the song plays: the count, the tempo, the keys of the player.

import { clear, el, set, text } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { clock, number, t, tempo } from "/static/js/words.js";
import { Taps } from "/static/js/ear/tapping.js";

export function makeControls(actions) {
  const count = el("output", { class: "count digits", "aria-live": "off", "aria-label": t("ear.count") }, "–");
  const eight = el("div", { class: "eight", "aria-hidden": "true" }, Array.from({ length: 8 }, () => el("i", {})));
  const where = el("p", { class: "where-now digits" });
  const bpm = el("strong", { class: "bpm-now digits" });
  const sure = el("p", { class: "sure-now" });
  const yes = el("button", { class: "yes", onclick: actions.confirm }, icon("yes"), t("ear.confirm"));
  const half = el("button", { onclick: actions.half }), double = el("button", { onclick: actions.double });
  const undo = el("button", { class: "plain", onclick: actions.undo }, icon("undo"), el("span", {}, t("ear.undo")));
  const redo = el("button", { class: "plain", onclick: actions.redo }, icon("redo"), el("span", {}, t("ear.redo")));
  const play = el("button", { class: "main play", onclick: actions.play });
  const toggles = {
    clicks: toggle("click", "clicks", actions.clicks), slow: toggle("slow", "slow", actions.slow), loop: toggle("loop", "loop", actions.loop),
  };
  const taps = new Taps();
  const tap = el("button", { class: "tap" }, icon("tap"), el("span", {}, t("ear.tap")));
  const tapped = el("div", { class: "tapped", role: "status" });
  tap.addEventListener("pointerdown", (event) => { event.preventDefault(); tap.focus(); tapNow(event.timeStamp); });
  tap.addEventListener("keydown", (event) => { if ((event.key === " " || event.key === "Enter") && !event.repeat) { event.preventDefault(); tapNow(event.timeStamp); } });

  function tapNow(time) {
    const found = taps.add(time);
    clear(tapped);
    if (!found) { tapped.append(t("ear.tapping", { n: taps.times.length })); return; }
    const words = tempo(Math.round(found * 2) / 2);
    tapped.append(el("span", { class: "digits" }, t("ear.tapped", { bpm: words })),
      el("button", { onclick: () => { actions.tapped(found); taps.clear(); clear(tapped); } }, t("ear.use_tapped")));
  }

  const element = el("div", { class: "controls" },
    el("div", { class: "now" }, count, el("div", { class: "now-rest" }, eight, where)),
    el("div", { class: "keys", role: "group", "aria-label": t("ear.player") },
      el("button", { class: "square", "aria-label": t("ear.back"), onclick: actions.back }, icon("back")), play,
      el("button", { class: "square", "aria-label": t("ear.forward"), onclick: actions.forward }, icon("forward")),
      el("div", { class: "toggles" }, toggles.clicks, toggles.slow, toggles.loop)),
    el("div", { class: "tempo-part", role: "group", "aria-label": t("ear.tempo") },
      el("p", {}, bpm, " bpm"), sure, yes, el("div", { class: "levels" }, half, double, tap), tapped));

  let shown = "";
  return {
    element,
    undo: el("div", { class: "undo-part" }, undo, redo),
    tap: () => tapNow(performance.now()),

    show({ track, playing, clicks, looping, slow, canPlay }) {
      const { tempo_bpm: now } = track.analysis;
      clear(play);
      play.append(icon(playing ? "pause" : "play"), el("span", { class: "unseen" }, t(playing ? "ear.stop" : "ear.play")));
      play.disabled = !canPlay;
      for (const [name, on] of [["clicks", clicks], ["slow", slow], ["loop", looping]]) {
        set(toggles[name], "aria-pressed", String(on));
        toggles[name].disabled = !canPlay;
      }
      text(bpm, now ? tempos(track.analysis) : "–");
      bpm.classList.toggle("many", bpm.textContent.includes("→"));
      yes.hidden = track.is_sure || !now;
      half.replaceChildren("½", now ? ` ${tempo(now / 2)}` : "");
      half.setAttribute("aria-label", t("ear.half", { bpm: now ? tempo(now / 2) : "–" }));
      double.replaceChildren("×2", now ? ` ${tempo(now * 2)}` : "");
      double.setAttribute("aria-label", t("ear.double", { bpm: now ? tempo(now * 2) : "–" }));
      half.disabled = double.disabled = !now;
      text(sure, sureWords(track));
  sure.classList.toggle("to-check", !track.is_sure);
      undo.disabled = !track.undo;
      redo.disabled = !track.redo;
      set(undo, "title", track.undo ? kindWords(track.undo) : null);
      set(redo, "title", track.redo ? kindWords(track.redo) : null);
    },

    count(at, time, length, waiting) {
      play.classList.toggle("busy", waiting);
      const words = at ? String(at.count) : "–";
      if (words !== shown) {
        shown = words;
        count.textContent = words;
        count.classList.toggle("one", words === "1");
        [...eight.children].forEach((dot, index) => dot.classList.toggle("on", at !== null && index + 1 === at.count));
      }
      const lane = at ? (at.number ? t("ear.phrase_short", { n: at.number }) : t(`ear.${at.phrase.kind}`)) : "";
      text(where, `${lane}${lane ? " · " : ""}${clock(Math.floor(time))} / ${clock(length)}`);
    },
  };
}

// One tempo, or those of its parts in turn.
function tempos({ tempo_bpm: whole, tempo_sections: parts }) {
  const turns = parts.map((one) => tempo(one.tempo_bpm)).filter((one, index, all) => one !== all[index - 1]);
  return turns.length > 1 && turns.length < 4 ? turns.join(" → ") : tempo(whole);
}

export function kindWords(kind) { return t(`ear.kind_${kind.replace(/ /g, "_")}`); }

function toggle(picture, word, act) {
  return el("button", { class: "toggle", "aria-pressed": "false", onclick: act }, icon(picture), el("span", {}, t(`ear.${word}`)));
}

function sureWords(track) {
  const { confidence, tempo_confidence: ofTempo, tempo_bpm: now, tempo_alternatives: others } = track.analysis;
  if (!now) return t("ear.no_beat");
  const percent = number(100 * confidence);
  if (track.is_sure) return t(track.steps.length ? "ear.corrected" : "ear.sure", { percent });
  if (track.tempo_is_sure) return t("ear.unsure", { percent });
  const rival = others.filter((one) => Math.abs(one.tempo_bpm / now - 1) > 0.01).sort((a, b) => b.odds - a.odds)[0];
  if (!rival) return t("ear.unsure_tempo", { percent: number(100 * ofTempo) });
  return t("ear.unsure_levels", { percent: number(100 * ofTempo), one: tempo(Math.min(now, rival.tempo_bpm)), other: tempo(Math.max(now, rival.tempo_bpm)) });
}
