// The part Pool: what is taken along, as it will look; a folder or print; the page on a phone.

import { get, newest, post } from "/static/js/api.js";
import { el, text, whenQuiet } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { hear } from "/static/js/news.js";
import { goTo, sayWrong } from "/static/js/shell.js";
import { number, t, tOr } from "/static/js/words.js";
import { makeShare } from "/static/js/pool/share.js";

const PAPER = ["pdf"], SHOWN_IN_FRAME = ["html", "pdf", "svg"];

export function openPool(place, id) { return id ? openMaking(place, id) : openPick(place); }

async function openPick(place) {
  const list = el("ul", { class: "plans" });
  place.append(el("section", { class: "classes", "aria-labelledby": "pool-head" }, el("header", { class: "part-head" }, el("h1", { id: "pool-head" }, t("pool.head"))),
    el("div", { class: "class-start" }, el("div", { class: "kept" }, el("p", {}, t("pool.pick")), list))));
  try {
    const { plans } = await get("/api/plans");
    list.replaceChildren(...plans.map((plan) => el("li", {}, el("a", { class: "button plan-link", href: `#pool/${plan.id}` }, el("strong", {}, plan.title), el("span", { class: "small quiet" }, t("class.entry", { depth: t(`water.kind_${plan.depth}`), minutes: number(plan.minutes), n: plan.songs }))))));
    if (!plans.length) list.append(el("li", {}, el("a", { class: "button", href: "#class" }, icon("class"), t("pool.plan_first"))));
  } catch (error) { sayWrong(error); }
}

function openMaking(place, id) {
  let shown = null, options = null, current = "", asked = 0;
  const title = el("h1", {}), waiting = el("p", { class: "quiet", role: "status" }), wrong = el("p", { class: "wrong-line", role: "alert" });
  const files = el("ul", { class: "made-files" }), frame = el("iframe", { class: "preview", title: t("pool.preview"), sandbox: "allow-scripts" }), pdf = el("iframe", { class: "preview", title: t("pool.preview"), hidden: true });
  const choices = el("div", { class: "pool-options" });
  const make = el("button", { class: "main", onclick: () => makeFolder() }, icon("folder"), t("pool.make"));
  const print = el("a", { class: "button", target: "_blank", rel: "noopener", hidden: true }, icon("pool"), t("pool.print"));
  const made = el("p", { role: "status", class: "made" }), bar = el("progress", { hidden: true, "aria-label": t("pool.making") });
  const share = makeShare(id), notes = el("details", { class: "small", hidden: true });
  place.append(el("section", { class: "pool", "aria-labelledby": "pool-title" },
    el("header", { class: "part-head" }, el("button", { class: "plain square", "aria-label": t("pool.to_class"), onclick: () => goTo("class", id) }, icon("left")), el("div", { class: "ear-title" }, title)),
    el("div", { class: "pool-body" },
      el("div", { class: "pool-side" }, choices, wrong, waiting, el("h2", {}, t("pool.files")), files, el("div", { class: "pool-end" }, el("div", { class: "pool-do" }, make, print), bar, made), share.element, notes),
      el("div", { class: "pool-preview" }, frame, pdf))));
  title.id = "pool-title";
  const later = whenQuiet(() => preview(), 300), latest = newest();
  const stops = [hear("made", () => followMade()), hear("plan", ({ about }) => { if (about === id) later(); })];
  get("/api/pool").then((kept) => { options = kept; preview(); }).catch(sayWrong);
  followMade(true);

  async function preview() {
    const mine = ++asked;
    text(wrong, "");
    text(waiting, t("pool.drawing"));
    try {
      const found = await post("/api/pool/preview", { plan: id, options });
      if (mine !== asked) return;
      shown = found;
      draw();
    } catch (error) { if (mine === asked) text(wrong, error.message || t("frame.gone")); } finally { if (mine === asked) text(waiting, ""); }
  }

  function draw() {
    text(title, shown.title);
    drawOptions();
    const top = shown.files.filter((one) => !one.name.includes("/")), rest = shown.files.length - top.length;
    files.replaceChildren(...top.map((one) => el("li", {}, el("button", { class: "made-file", "aria-pressed": String(one.name === current), onclick: () => look(one) },
      el("span", { class: "move-name" }, fileWords(one.name)), el("span", { class: "small quiet digits" }, one.sides ? t("pool.sides", { n: one.sides }) : one.kind.toUpperCase())))), rest ? el("li", { class: "small quiet" }, t("pool.and_files", { n: rest })) : "");
    notes.hidden = !shown.notes.length;
    notes.replaceChildren(...(shown.notes.length ? [el("summary", {}, t("pool.notes", { n: shown.notes.length })), el("ul", {}, shown.notes.map((one) => el("li", {}, one)))] : []));
    const wanted = top.find((one) => one.name === current) || top.find((one) => one.kind === "html" && one.name.startsWith("deck")) || top.find((one) => SHOWN_IN_FRAME.includes(one.kind));
    if (wanted) look(wanted);
    const paper = top.find((one) => PAPER.includes(one.kind));
    print.hidden = !paper;
    if (paper) print.href = address(paper);
  }

  function address(one) { return `/pool/${shown.at}/${one.name}`; }

  // A page runs without any right to this one; a PDF needs the browser's own reader.
  function look(one) {
    current = one.name;
    for (const button of files.querySelectorAll(".made-file")) button.setAttribute("aria-pressed", String(button.querySelector(".move-name").textContent === fileWords(one.name)));
    const isPdf = one.kind === "pdf";
    frame.hidden = isPdf;
    pdf.hidden = !isPdf;
    const target = isPdf ? pdf : frame;
    if (target.getAttribute("src") !== address(one)) target.src = address(one);
    if (isPdf) print.href = address(one);
  }

  function drawOptions() {
    const box = (name, list, key, songs) => el("label", {}, el("input", { type: "checkbox", checked: list.includes(name), onchange: (event) => {
      const now = new Set(options[key]);
      if (event.target.checked) now.add(name); else now.delete(name);
      options = { ...options, [key]: [...(songs ? shown.song_formats : shown.formats)].filter((one) => now.has(one)) };
      if (!songs) later();
    } }), el("span", {}, tOr(`pool.format_${name.replace(/-/g, "_")}`, name)));
    if (choices.firstChild) return;
    const paper = el("select", { id: "pool-paper", onchange: () => { options = { ...options, paper: paper.value }; later(); } }, shown.papers.map((one) => el("option", { value: one, selected: one === options.paper }, one.toUpperCase())));
    const tick = (key) => {
      const box = el("input", { type: "checkbox", id: `pool-${key}`, checked: options[key], onchange: () => { options = { ...options, [key]: box.checked }; later(); } });
      return el("div", { class: "check" }, box, el("label", { for: `pool-${key}` }, t(`pool.${key}`)));
    };
    choices.append(
      el("h2", {}, t("pool.what")), el("div", { class: "picks" }, shown.formats.map((one) => box(one, options.only, "only", false))),
      el("h3", {}, t("pool.with_songs")), el("p", { class: "small quiet" }, t("pool.rights")), el("div", { class: "picks" }, shown.song_formats.map((one) => box(one, options.songs, "songs", true))),
      el("div", { class: "fields" }, el("div", { class: "field" }, el("label", { for: "pool-paper" }, t("pool.paper")), paper), tick("silent"), tick("figures")));
  }

  async function makeFolder() {
    text(wrong, "");
    try { showMade(await post("/api/pool/make", { plan: id, options })); } catch (error) { text(wrong, error.message || t("frame.gone")); }
  }

  function followMade(first = false) { latest(get("/api/pool/made")).then((now) => { if (now && (!first || now.running)) showMade(now); }).catch(sayWrong); }

  function showMade(now) {
    make.disabled = now.running;
    bar.hidden = !now.running;
    if (now.all) { bar.max = now.all; bar.value = now.done; } else bar.removeAttribute("value");
    if (now.running) text(made, t("pool.making"));
    else if (now.error) { text(made, ""); text(wrong, now.error); }
    else if (now.folder) text(made, t("pool.made", { n: now.files, folder: now.folder }));
  }

  return () => { stops.forEach((stop) => stop()); share.close(); };
}

function fileWords(name) { return tOr(`pool.file_${name.replace(/\.\w+$/, "").replace(/\W/g, "_")}`, name); }
