// What was corrected: told in a line each, and taken back one by one.

import { clear, el } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { clock, t, tempo } from "/static/js/words.js";

export function makeSteps(actions) {
  const list = el("ol", {});
  const all = el("button", { class: "plain", onclick: actions.forget }, t("ear.forget"));
  const element = el("section", { class: "steps", "aria-labelledby": "steps-head" }, el("h2", { id: "steps-head" }, t("ear.steps")), list, all);
  return {
    element,
    show(track) {
      element.hidden = !track.steps.length;
      all.hidden = track.steps.length < 2;
      clear(list);
      track.steps.forEach((step, index) => list.append(el("li", {}, el("span", { class: "digits" }, stepWords(step)),
        el("button", { class: "plain square", "aria-label": `${t("ear.take_back")}: ${stepWords(step)}`, title: t("ear.take_back"), onclick: () => actions.takeBack(index) }, icon("close")))));
    },
  };
}

function stepWords({ kind, time_s: at, to_s: to, from_s: from, counts, tempo_bpm: bpm }) {
  const since = from > 0 ? `, ${t("ear.from_at", { at: clock(from, true) })}` : "";
  switch (kind) {
    case "tempo": return t("ear.step_tempo", { bpm: tempo(bpm) }) + since;
    case "count one": return t("ear.step_one", { at: clock(at, true) }) + since;
    case "no start": return t("ear.step_no_start", { at: clock(at, true) });
    case "bridge": return t("ear.step_bridge", { at: clock(at, true), n: counts });
    case "no beat": return t("ear.step_no_beat", { from: clock(at, true), to: clock(to, true) });
    default: return t("ear.step_phrase", { at: clock(at, true) });
  }
}
