// One class: the band of its songs, the song that is chosen, the review beside it.

import { el, text } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { hear } from "/static/js/news.js";
import { goTo, say, sayWrong } from "/static/js/shell.js";
import { number, t } from "/static/js/words.js";
import { closeSheet, openSheet } from "/static/js/water/sheet.js";
import { makeBand } from "/static/js/class/band.js";
import { PlanModel } from "/static/js/class/model.js";
import { drawReview } from "/static/js/class/review.js";
import { drawSong } from "/static/js/class/song.js";

export function openPlan(place, id, job) {
  let chosen = 1;
  const model = new PlanModel(id, { changed: () => draw(), conflict: () => say(t("frame.elsewhere"), true), failed: sayWrong });
  const title = el("h1", {}), facts = el("p", { class: "quiet small" });
  const undo = el("button", { class: "plain square", onclick: () => model.undo() }, icon("undo")), redo = el("button", { class: "plain square", onclick: () => model.redo() }, icon("redo"));
  const again = el("button", { onclick: () => long(() => model.again(songs.checked)) }, icon("loop"), t("class.again"));
  const songs = el("input", { type: "checkbox", id: "again-songs" });
  const band = makeBand({
    chosen: (number) => choose(number),
    moved: async (number, to) => { if (to < 1 || to > model.plan.tracks.length) return; chosen = to; await model.change("move song", { track: number, to }); },
  });
  const song = el("div", { class: "plan-song" }), review = el("aside", { class: "plan-review", "aria-label": t("class.review") });
  const body = el("div", { class: "plan-body", hidden: true },
    band.element,
    el("div", { class: "plan-tools" },
      again, el("span", { class: "check" }, songs, el("label", { for: "again-songs" }, t("class.again_songs"))),
      el("button", { onclick: () => askLate() }, t("class.late")),
      el("button", { onclick: () => long(() => model.twin()) }, t("class.twin")),
      el("button", { onclick: () => long(() => model.others()) }, t("class.others")),
      el("a", { class: "button", href: `/api/plans/${id}/plan.toml`, download: "" }, t("class.save")),
      el("button", { class: "main", onclick: () => goTo("pool", id) }, icon("pool"), t("class.to_pool"))),
    el("div", { class: "plan-detail" }, song, review));
  const waiting = el("p", { class: "ear-waiting", role: "status" }, t("class.opening"));
  place.append(el("section", { class: "plan", onkeydown: keys },
    el("header", { class: "part-head" },
      el("button", { class: "plain square", "aria-label": t("class.to_list"), onclick: () => goTo("class") }, icon("left")),
      el("div", { class: "ear-title" }, title, facts), undo, redo),
    job.element, waiting, body));
  const stops = [hear("plan", ({ about, revision }) => { if (about === id) model.heardOf(revision).catch(gone); })];
  model.load().catch(gone);

  function gone(error) { text(waiting, error.message || t("frame.gone")); waiting.hidden = false; body.hidden = true; }

  function draw() {
    const { plan } = model;
    waiting.hidden = true;
    body.hidden = false;
    chosen = Math.min(chosen, plan.tracks.length);
    text(title, plan.title);
    text(facts, t("class.facts", { depth: t(`water.kind_${plan.depth}`), minutes: number(plan.minutes, 1), asked: number(plan.asked_minutes), n: plan.tracks.filter((one) => !one.clock).length }));
    for (const [button, step, key] of [[undo, plan.undo, "class.undo"], [redo, plan.redo, "class.redo"]]) {
      button.disabled = !step;
      const words = step ? `${t(key)}: ${t(`class.step_${step.kind.replace(/ /g, "_")}`)}` : t(key);
      button.setAttribute("aria-label", words);
      button.title = words;
    }
    band.show(plan, chosen);
    const focused = document.activeElement?.id;
    if (plan.tracks.length) drawSong(song, model, plan.tracks[chosen - 1]);
    drawReview(review, plan, go);
    if (focused && !document.activeElement?.id) document.getElementById(focused)?.focus();
  }

  function choose(number) {
    chosen = number;
    band.show(model.plan, chosen);
    drawSong(song, model, model.plan.tracks[chosen - 1]);
  }

  function go(where) {
    choose(Number(where.split(".")[0]));
    const target = document.getElementById(`place-${where.replace(/\./g, "-")}`) || song.querySelector("h2");
    target.scrollIntoView({ block: "center" });
    target.classList.add("pointed");
    setTimeout(() => target.classList.remove("pointed"), 2500);
    (target.matches("button, h2") ? target : target.querySelector("button"))?.focus({ preventScroll: true });
  }

  async function long(start) { try { job.show(await start()); } catch (error) { sayWrong(error); } }

  function askLate() {
    openSheet(t("class.late"), (inside, close) => {
      const minutes = el("input", { type: "number", id: "late-minutes", min: 1, max: 60, value: 5 });
      inside.append(el("h2", {}, t("class.late")), el("p", {}, t("class.late_text")),
        el("form", { class: "late", onsubmit: (event) => { event.preventDefault(); close(); model.change("late", { minutes: Number(minutes.value) }); } },
          el("label", { for: "late-minutes" }, t("class.late_minutes")), minutes, el("button", { class: "main", type: "submit" }, t("class.late_do"))));
      minutes.focus();
    });
  }

  function keys(event) {
    if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z" || event.target.matches("input, textarea")) return;
    event.preventDefault();
    if (event.shiftKey) model.redo(); else model.undo();
  }

  return () => { stops.forEach((stop) => stop()); closeSheet(); };
}
