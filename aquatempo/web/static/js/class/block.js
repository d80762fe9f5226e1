// One block of a plan: how it looks, keeping it, and what fits in its place and what that changes.

import { get } from "/static/js/api.js";
import { el, text } from "/static/js/dom.js";
import { hear } from "/static/js/news.js";
import { sayWrong } from "/static/js/shell.js";
import { language, number, t, tOr } from "/static/js/words.js";
import { makeFigure } from "/static/js/water/figure.js";
import { openSheet } from "/static/js/water/sheet.js";
import { lockButton } from "/static/js/class/song.js";

export function openBlock(model, block, bpm) {
  const full = (one) => [one.name, ...one.options].join(", ");
  openSheet(full(block), async (inside, close) => {
    const figure = makeFigure(), heading = el("h2", {}, full(block)), list = el("ol", { class: "choices-list" }), waiting = el("p", { class: "quiet", role: "status" }, t("class.looking"));
    const everywhere = el("input", { type: "checkbox", id: "everywhere" });
    const bar = el("progress", { "aria-label": t("class.looking") });
    const stop = hear("choices", ({ about, done, all }) => { if (about === model.id) { bar.max = all; bar.value = done; } });
    figure.show(block.ask, full(block), bpm);
    inside.append(heading, figure.element,
      el("p", { class: "small quiet" }, t("class.block_words", { counts: number(block.counts), pattern: block.pattern, level: tOr(`level.${block.level}`, block.level) })),
      lockButton({ change: async (...given) => { close(); await model.change(...given); } }, block.place, block.locked, full(block)),
      el("h3", {}, t("class.instead")), el("div", { class: "check" }, everywhere, el("label", { for: "everywhere" }, t("class.everywhere"))), waiting, bar, list);
    let found;
    try { found = (await get(`/api/plans/${model.id}/choices`, { place: block.place, language })).choices; } catch (error) {
      text(waiting, "");
      if (error.status === 400) { waiting.textContent = t("class.no_choices"); return; }
      sayWrong(error);
      return;
    } finally { stop(); bar.remove(); }
    waiting.textContent = found.length ? "" : t("class.no_choices");
    list.replaceChildren(...found.map((one, at) => el("li", { class: "choice-row" },
      el("button", { class: "plain look", "aria-label": t("class.look", { name: full(one) }), onclick: () => { figure.show(one.ask, full(one), bpm); heading.textContent = full(one); inside.scrollTop = 0; } },
        el("span", { class: "block-name" }, full(one)),
        el("span", { class: "small quiet" }, changesOf(one))),
      el("button", { "aria-label": t("class.use_name", { name: full(one) }), onclick: async () => {
        const shown = model.plan.revision;
        close();
        if (shown === model.plan.revision) await model.change("use", { place: block.place, choice: at, everywhere: everywhere.checked });
      } }, t("class.use")))));
  }, "block-sheet");
}

function changesOf(one) {
  const effort = Math.round(one.rpe_change * 10) / 10;
  const words = [effort === 0 ? t("class.effort_same") : t(effort > 0 ? "class.effort_up" : "class.effort_down", { n: number(Math.abs(effort), 1) })];
  if (one.impact !== one.impact_before) words.push(t("class.impact_to", { from: t(`water.impact_${one.impact_before}`), to: t(`water.impact_${one.impact}`) }));
  for (const [plane, now, then] of one.planes) words.push(t("class.plane_to", { plane: t(`class.plane_${plane}`), from: number(100 * now), to: number(100 * then) }));
  if (one.learning) words.push(one.learning);
  return words.join(" · ");
}
