// Long work on a class: how far it is, and stopping it.

import { get, newest, post } from "/static/js/api.js";
import { el, text } from "/static/js/dom.js";
import { hear } from "/static/js/news.js";
import { say, sayWrong } from "/static/js/shell.js";
import { t } from "/static/js/words.js";

// done(plan, others): the work is over; plan: the id of what came of it, "" for nothing; others:
// the classes beside it, where several were asked for.
export function makeJob(done) {
  const words = el("span", { class: "words", role: "status" }), bar = el("progress", { "aria-label": t("class.planning") });
  const element = el("div", { class: "hearing job", hidden: true }, words, bar,
    el("button", { onclick: () => post("/api/job/stop").then(show).catch(sayWrong) }, t("class.stop")));
  let running = false;
  const latest = newest();
  const job = { element, show, failed: (line) => say(line, true), get running() { return running; }, close: () => stop() };
  const stop = hear("job", () => look());
  look(true);

  function look(first = false) { latest(get("/api/job")).then((now) => { if (now && (!first || now.running)) show(now); }).catch(sayWrong); }

  function show(now) {
    element.hidden = !now.running;
    text(words, t(now.what === "listening" ? "class.reading" : "class.planning"));
    if (now.all) { bar.max = now.all; bar.value = now.done; } else bar.removeAttribute("value");
    const was = running;
    running = now.running;
    if (!was || running) return;
    if (now.error) job.failed(now.error); else done(now.plan, now.others);
  }

  return job;
}
