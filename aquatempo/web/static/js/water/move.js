// One move at length: its figure, verdicts in each tempo option, the curve, its variations.

import { get } from "/static/js/api.js";
import { el } from "/static/js/dom.js";
import { sayWrong } from "/static/js/shell.js";
import { language, number, t } from "/static/js/words.js";
import { curveKey, curvePicture } from "/static/js/water/curve.js";
import { makeFigure } from "/static/js/water/figure.js";
import { rangeBar, ratingWords } from "/static/js/water/marks.js";

export async function showMove(place, key, bpm) {
  place.wanted = `${key} ${bpm}`;
  let move;
  if (!place.firstElementChild?.matches("h2")) place.replaceChildren(el("p", { class: "quiet", role: "status" }, t("water.judging")));
  try { move = await get(`/api/moves/${encodeURIComponent(key)}`, { tempo_bpm: bpm, language }); } catch (error) { sayWrong(error); return; }
  if (place.wanted !== `${key} ${bpm}`) return;
  const figure = makeFigure(move.view), heading = el("h2", {}, move.name);
  figure.show(key, move.name, bpm);
  place.replaceChildren(heading, figure.element,
    el("p", {}, move.description),
    ...move.cautions.map((one) => el("p", { class: "to-check small" }, one)),
    el("h3", {}, t("water.at_tempo", { bpm: number(bpm) })),
    el("div", { class: "verdicts" }, move.verdicts.map(verdictPart)),
    el("h3", {}, t("water.curve")),
    curvePicture(move.curves, bpm),
    el("p", { class: "small quiet curve-key" }, curveKey(move.curves.map((one) => one.pattern)).map((one) => el("span", {}, one))),
    el("h3", {}, t("water.variations")),
    el("p", { class: "small quiet" }, t("water.variations_text")),
    el("ol", { class: "variations" }, move.variations.map((one) => el("li", {}, variation(one)))),
    el("p", { class: "small quiet" }, t("water.estimate")));

  function variation(one) {
    const button = el("button", { class: "variation", "aria-pressed": one.factor ? "false" : "true", onclick: () => {
      for (const other of place.querySelectorAll(".variation")) other.setAttribute("aria-pressed", String(other === button));
      figure.show(one.ask, one.name, bpm);
      heading.textContent = one.factor ? `${move.name}: ${one.name}` : move.name;
      figure.element.scrollIntoView({ block: "nearest" });
    } },
      el("span", { class: "move-name" }, one.factor ? one.name : t("water.as_it_is")),
      el("span", { class: "digits small step" }, one.factor ? stepWords(one.step_met) : ""),
      el("span", { class: "small quiet" }, `${ratingWords(one.rating)} · ${t("water.effort_row", { rpe: number(one.rpe), impact: t(`water.impact_${one.impact}`) })}`));
    return button;
  }
}

function stepWords(step) {
  if (Math.abs(step) < 0.05) return t("water.same");
  return t(step > 0 ? "water.harder" : "water.easier", { met: number(Math.abs(step), 1) });
}

function verdictPart(one) {
  const kept = one.range_kept, facts = [
    t("water.who", { n: one.full_of[0], all: one.full_of[1] }),
    t("water.sure", { percent: number(100 * one.odds) }),
    t("water.limit", { words: limitWords(one.limit) }),
    t("water.effort", { rpe: number(one.rpe.median), low: number(one.rpe.low), high: number(one.rpe.high) }),
    t("water.impact", { impact: t(`water.impact_${one.impact}`) }),
  ];
  return el("div", { class: "verdict" },
    el("h4", {}, t(`water.pattern_${one.pattern}`), el("span", { class: `rating ${one.rating.replace(/\W+/g, "-")}` }, ratingWords(one.rating))),
    rangeBar([kept.low, kept.median, kept.high], one.rating),
    el("ul", { class: "small" }, facts.map((fact) => el("li", {}, fact)),
      one.advice.map((advice) => el("li", {}, advice.words))));
}

function limitWords(limit) {
  if (limit.likely_bpm === null) return t("water.any_tempo");
  if (limit.likely_bpm < 40) return t("water.no_tempo");
  return t("water.limit_range", { low: number(limit.low_bpm), high: number(limit.high_bpm), likely: number(limit.likely_bpm) });
}
