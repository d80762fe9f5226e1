// The review of a plan: what would go wrong, each finding a way to its place.

import { el } from "/static/js/dom.js";
import { clock, number, t, tOr } from "/static/js/words.js";

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
  const inside = [where, el("span", {}, one.reason), el("span", { class: "small quiet" }, one.remedy)];
  return one.place ? el("button", { class: "finding", onclick: () => go(one.place) }, inside) : el("div", { class: "finding" }, inside);
}

function list(key, lines) {
  return lines.length ? el("details", {}, el("summary", {}, t(key, { n: lines.length })), el("ul", { class: "small" }, lines.map((line) => el("li", {}, line)))) : "";
}
