// The part Class: the classes that are kept and what is asked of a new one, or one class.

import { get, newest, post } from "/static/js/api.js";
import { el, text } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { hear } from "/static/js/news.js";
import { goTo, say, sayWrong } from "/static/js/shell.js";
import { language, number, t } from "/static/js/words.js";
import { makeBrief } from "/static/js/class/brief.js";
import { makeJob } from "/static/js/class/job.js";
import { showOthers } from "/static/js/class/others.js";
import { openPlan } from "/static/js/class/plan.js";

export function openClass(place, id) {
  const job = makeJob((plan, others) => { if (others.length) showOthers(others); else if (plan) goTo("class", plan); });
  const close = id ? openPlan(place, id, job) : openPlans(place, job);
  return () => { job.close(); close(); };
}

function openPlans(place, job) {
  const list = el("ul", { class: "plans" }), none = el("p", { class: "quiet" }, t("class.none"));
  const brief = makeBrief(async (form) => {
    try { job.show(await post("/api/plans/new", { form, language })); } catch (error) { brief.wrong(error.message); }
  });
  job.failed = (words) => brief.wrong(words);
  const file = el("input", { type: "file", accept: ".toml,.plan", class: "unseen", tabindex: "-1", "aria-hidden": "true", onchange: () => take(file.files[0]) });
  place.append(el("section", { class: "classes", "aria-labelledby": "class-head" },
    el("header", { class: "part-head" }, el("h1", { id: "class-head" }, t("class.head"))),
    job.element,
    el("div", { class: "class-start" },
      brief.element,
      el("div", { class: "kept" }, el("h2", {}, t("class.kept")), list, none,
        el("button", { onclick: () => file.click() }, icon("folder"), t("class.open_file")), file))));
  const stops = [hear("plan", renew)], latest = newest();
  renew();

  async function renew() {
    try {
      const found = await latest(get("/api/plans"));
      if (!found) return;
      const { plans, job: now } = found;
      job.show(now);
      none.hidden = plans.length > 0;
      list.replaceChildren(...plans.map((plan) => el("li", {},
        el("a", { class: "button plan-link", href: `#class/${plan.id}` }, el("strong", {}, plan.title),
          el("span", { class: "small quiet" }, t("class.entry", { depth: t(`water.kind_${plan.depth}`), minutes: number(plan.minutes), n: plan.songs }))),
        el("button", { class: "plain square", "aria-label": t("class.remove", { title: plan.title }), onclick: () => remove(plan) }, icon("close")))));
    } catch (error) { sayWrong(error); }
  }

  async function remove(plan) {
    if (!confirm(t("class.remove_sure", { title: plan.title }))) return;
    try { await post(`/api/plans/${plan.id}/drop`); renew(); } catch (error) { sayWrong(error); }
  }

  async function take(chosen) {
    if (!chosen) return;
    try { goTo("class", (await post("/api/plans/open", { name: chosen.name, text: await chosen.text() })).id); } catch (error) { sayWrong(error); }
    file.value = "";
  }

  return () => stops.forEach((stop) => stop());
}
