// The part Music: what is open, how far the listening is, the songs, one song at length.

import { post } from "/static/js/api.js";
import { clear, el, text } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { hear } from "/static/js/news.js";
import { goTo, sayWrong } from "/static/js/shell.js";
import { duration, t } from "/static/js/words.js";
import { showAbout } from "/static/js/music/about.js";
import { addButtons, openSamples, takeDrops } from "/static/js/music/add.js";
import { LongList } from "/static/js/music/list.js";
import { Pages } from "/static/js/music/pages.js";
import { makeRow } from "/static/js/music/row.js";
import { Sieve } from "/static/js/music/sieve.js";

const COLUMNS = ["title", "length", "tempo", "sure", "energy", "shallow", "deep"];
const WIDE = matchMedia("(min-width: 75rem)");
let lastChosen = "";              // id of the song that was chosen last

export function openMusic(place) {
  const pages = new Pages(() => renew(), sayWrong);
  const sieve = new Sieve(() => { list.element.scrollTop = 0; list.active = -1; pages.ask(sieve.query); drawHead(); });
  const list = new LongList({
    label: t("music.list"), pages, make: makeRow, rowHeight: () => rowHeight(list.element),
    chosen: (row, _, opened) => choose(row, opened),
  });
  const figures = el("p", { class: "quiet figures digits" });
  const hearing = el("div", { class: "hearing", role: "group" });
  const heads = el("div", { class: "song heads" });
  const about = el("aside", { class: "about", "aria-label": t("music.about") });
  const nothing = el("div", { class: "nothing" });
  const places = el("details", { class: "places" });
  const view = el("section", { class: "music", "aria-labelledby": "music-head" },
    el("header", { class: "part-head" }, el("h1", { id: "music-head" }, t("music.head")), figures, places, el("div", { class: "add" }, addButtons())),
    hearing, sieve.element,
    el("div", { class: "songs" }, el("div", { class: "table" }, heads, list.element, nothing), about));
  place.append(view);
  takeDrops(view);
  drawHead();
  showAbout(about, null);
  pages.ask(sieve.query);

  let timer = 0;
  const stops = [hear("music", () => { if (!timer) timer = setTimeout(() => { timer = 0; pages.renew(...list.range()); }, 400); })];

  function renew() {
    list.renew();
    drawFigures();
    drawHearing();
    drawPlaces();
    drawNothing();
    const at = pages.find(lastChosen);
    if (at >= 0 && WIDE.matches) {
      const row = pages.row(at);
      if (row !== about.shown) { about.shown = row; showAbout(about, row, open); }
      if (list.active < 0) list.active = at;
    }
  }

  function choose(row, opened) {
    lastChosen = row.id;
    if (opened && row.state === "heard") { open(row); return; }
    about.shown = row;
    showAbout(about, row, open);
    if (!WIDE.matches && opened === false && matchMedia("(pointer: coarse), (max-width: 48rem)").matches) openSheet(row);
    else if (!WIDE.matches && opened) openSheet(row);
  }

  function open(row) { document.querySelector("dialog.sheet")?.close(); goTo("ear", row.id); }

  function openSheet(row) {
    const inside = el("div", {});
    const dialog = el("dialog", { class: "sheet", "aria-label": t("music.about") },
      el("button", { class: "plain square sheet-close", "aria-label": t("frame.close"), onclick: () => dialog.close() }, icon("close")), inside);
    showAbout(inside, row, open);
    dialog.addEventListener("close", () => { dialog.remove(); list.element.focus(); });
    dialog.addEventListener("click", (event) => { if (event.target === dialog) dialog.close(); });
    document.body.append(dialog);
    dialog.showModal();
  }

  function drawHead() {
    clear(heads);
    const { sort, descending } = sieve.query;
    for (const name of COLUMNS) {
      if (name === "energy") { heads.append(el("span", { class: name }, t("music.energy"))); continue; }
      const on = sort === name;
      const words = on ? `${t(`music.${name}`)}, ${t(descending ? "music.descending" : "music.ascending")}` : null;
      heads.append(el("span", { class: name === "title" ? "name" : name },
        el("button", { class: "plain", "aria-pressed": null, "aria-label": words, onclick: () => sieve.sortBy(name) },
          t(`music.${name}`), on ? el("span", { "aria-hidden": "true" }, descending ? "▼" : "▲") : null)));
    }
  }

  function drawFigures() {
    const state = pages.state, parts = [t("music.songs", { n: state.total })];
    if (state.unsure) parts.push(t("music.unsure", { n: state.unsure }));
    if (state.failed) parts.push(t("music.failed", { n: state.failed }));
    text(figures, parts.join(" · "));
  }

  function drawHearing() {
    const { hearing: on, heard, failed, waiting, total, left_s: left } = pages.state;
    hearing.hidden = !waiting;
    if (!waiting) return;
    const done = heard + failed;
    const words = on ? t("music.hearing", { done, all: total }) : t("music.stopped", { n: waiting });
    if (!hearing.firstChild)
      hearing.append(el("span", { class: "words digits", role: "status" }), el("progress", { "aria-label": t("music.head") }), el("button", {}));
    const [line, bar, button] = hearing.children;
    text(line, on && left ? `${words} · ${t("music.left", { time: duration(left) })}` : words);
    bar.max = total;
    bar.value = done;
    text(button, t(on ? "music.stop" : "music.go_on"));
    button.onclick = async () => {
      try { await post("/api/music/hearing", { on: !on }); } catch (error) { sayWrong(error); }
    };
  }

  function drawPlaces() {
    const known = JSON.stringify(pages.state.places);
    places.hidden = !pages.state.places.length;
    if (places.known === known) return;
    places.known = known;
    const items = pages.state.places.map((one) => {
      const name = one.dropped ? t("music.place_dropped") : one.name;
      const words = one.missing ? t("music.place_missing") : t("music.songs", { n: one.tracks });
      return el("li", {}, icon("folder"), el("span", { class: "folder-name", title: one.path }, name), el("span", { class: "quiet small" }, words),
        one.dropped ? null : el("button", { class: "plain square", "aria-label": t("music.place_close", { name }), onclick: () => post("/api/music/close", { path: one.path }).catch(sayWrong) }, icon("close")));
    });
    places.replaceChildren(el("summary", {}, t("music.places")), el("div", { class: "places-list" }, el("ul", {}, items),
      el("button", { onclick: () => post("/api/music/again").catch(sayWrong) }, t("music.again"))));
  }

  function drawNothing() {
    const { total, matching } = pages.state;
    nothing.hidden = matching > 0;
    list.element.hidden = matching === 0;
    heads.hidden = sieve.element.hidden = total === 0;
    view.classList.toggle("empty", total === 0);
    const kind = total === 0 ? "empty" : matching === 0 ? "sifted" : "";
    if (nothing.dataset.kind === kind) return;   // a button that is pressed or has the focus stays
    nothing.dataset.kind = kind;
    clear(nothing);
    if (total === 0)
      nothing.append(el("h2", {}, t("music.empty_head")), el("p", { class: "drop-here" }, icon("music"), t("music.drop_here")),
        el("div", { class: "add" }, addButtons()),
        el("button", { class: "plain", onclick: openSamples }, t("music.try_samples")), el("p", { class: "quiet" }, t("music.empty_text")));
    else if (matching === 0)
      nothing.append(el("p", {}, t("music.nothing")), el("button", { onclick: () => sieve.clear() }, t("music.clear")));
  }

  return () => { stops.forEach((stop) => stop()); clearTimeout(timer); list.close(); };
}

function rowHeight(element) { return parseFloat(getComputedStyle(element).getPropertyValue("--row")) * parseFloat(getComputedStyle(document.documentElement).fontSize); }
