// The review of a plan: what would go wrong, each finding a way to its place.

import { el } from "/static/js/dom.js";
import { clock, language, number, t, tOr } from "/static/js/words.js";

const ORDER = ["error", "warning", "advice"];

// go(place): to where a finding is.
export function drawReview(place, plan, go) {
  const counts = ORDER.map((one) => [one, plan.findings.filter((finding) => finding.severity === one)]);
  place.replaceChildren(
    el("h2", {}, t("class.review")),
    el("p", { class: plan.fit_to_teach ? "fit-line" : "fit-line wrong-line" }, t(plan.fit_to_teach ? "class.fit" : "class.unfit")),
    ...counts.filter(([, some]) => some.length).map(([severity, some]) => el("details", { open: severity !== "advice" || some.length < 6 },
      el("summary", {}, t(`class.severity_${severity}`, { n: some.length })),
      el("ul", { class: `findings ${severity}` }, some.map((one) => el("li", {}, finding(one, go)))))),
    el("details", {}, el("summary", {}, t("class.figures")),
      el("ul", { class: "small" }, el("li", {}, t("class.jumps", { minutes: number(plan.jump_minutes, 1) })), plan.balance.map(([name, share]) => el("li", {}, `${tOr(`share.${name.replace(/ /g, "_")}`, name)} ${number(100 * share)} %`)))),
    list("class.because", plan.because), list("class.prompts", plan.prompts),
    list("class.left_out", plan.left_out.map(([title, reason]) => `${title}: ${reason}`)), list("class.plan_notes", plan.notes),
    el("p", { class: "small quiet" }, t("water.estimate")));
}

function finding(one, go) {
  const where = el("span", { class: "digits small quiet" }, one.place ? `${clock(60 * one.minute)} · ${one.place}` : t("class.whole"));
  const exact = [el("span", { lang: "en" }, one.reason), el("span", { lang: "en", class: "small quiet" }, one.remedy)];
  if (language !== "en") {         // what is wrong and what to do, then the exact words
    const inside = [where, el("span", {}, t(`fault.${one.fault.replace(/\W+/g, "_")}`))];
    const shown = one.place ? el("button", { class: "finding", onclick: () => go(one.place) }, inside) : el("div", { class: "finding" }, inside);
    return [shown, el("details", { class: "small" }, el("summary", {}, t("fault.wording")), el("p", {}, exact[0], " ", exact[1]))];
  }
  const inside = [where, ...exact];
  return one.place ? el("button", { class: "finding", onclick: () => go(one.place) }, inside) : el("div", { class: "finding" }, inside);
}

function list(key, lines) {
  return lines.length ? el("details", {}, el("summary", {}, t(key, { n: lines.length })), el("ul", { class: "small", lang: "en" }, lines.map((line) => el("li", {}, line)))) : "";
}
