// What is asked of a class, with the usual values; pool and group are those of Water.

import { get } from "/static/js/api.js";
import { el, text } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { sayWrong } from "/static/js/shell.js";
import { degrees, language, length, t } from "/static/js/words.js";

const IMPACTS = ["", "low", "medium", "high"];
let kept = null;                   // the form as it was left

// plan(form): asked for. Returns { element, wrong(words) }.
export function makeBrief(plan) {
  const water = el("p", { class: "small" }), wrong = el("p", { class: "wrong-line", role: "alert" });
  const title = el("input", { type: "text", id: "brief-title", maxlength: 120, value: kept?.title ?? t("class.usual_title") });
  const minutes = el("input", { type: "number", id: "brief-minutes", min: 5, max: 180, step: 1, value: kept?.minutes ?? 45 });
  const build = el("select", { id: "brief-build" }), place = el("select", { id: "brief-place" });
  const impact = el("select", { id: "brief-impact" }, IMPACTS.map((one) => el("option", { value: one, selected: one === kept?.max_impact }, one ? t(`water.impact_${one}`) : t("class.as_usual"))));
  const sets = small("sets", kept?.sets ?? 0), work = small("work", kept?.work || 2), rest = small("rest", kept?.rest || 1);
  const unit = el("select", { id: "brief-unit" }, ["phrases", "seconds"].map((one) => el("option", { value: one, selected: one === kept?.unit }, t(`class.unit_${one}`))));
  const once = el("input", { type: "checkbox", id: "brief-once", checked: kept?.all_once ?? false });
  const notes = picks("notes"), themes = picks("themes"), wanted = picks("wanted"), banned = picks("banned");
  const own = el("input", { type: "text", id: "brief-own", maxlength: 200, value: kept?.own ?? "" });
  const element = el("form", { class: "brief", onsubmit: (event) => { event.preventDefault(); send(); } },
    el("h2", {}, t("class.new")),
    el("div", { class: "fields roomy" }, field("title", title), field("minutes", minutes), field("build", build), field("place", place)),
    water,
    el("details", {}, el("summary", {}, t("class.notes")), notes.element, field("own", own)),
    el("details", {}, el("summary", {}, t("class.moves")),
      el("div", { class: "fields" }, field("impact", impact)),
      el("h3", {}, t("class.wanted")), wanted.element, el("h3", {}, t("class.banned")), banned.element, el("h3", {}, t("class.themes")), themes.element),
    el("details", {}, el("summary", {}, t("class.intervals")), el("p", { class: "small quiet" }, t("class.intervals_text")),
      el("div", { class: "fields" }, field("sets", sets), field("work", work), field("rest", rest), field("unit", unit))),
    el("div", { class: "check" }, once, el("label", { for: "brief-once" }, t("class.once"))),
    wrong,
    el("button", { class: "main", type: "submit" }, icon("class"), t("class.plan")));
  fill();

  function field(name, input) { return el("div", { class: "field" }, el("label", { for: input.id }, t(`class.${name}`)), input); }
  function small(name, value) { return el("input", { type: "number", id: `brief-${name}`, min: 0, max: 600, step: "any", value }); }

  // Several of some words, as boxes to tick.
  function picks(name) {
    const inside = el("div", { class: "picks" });
    return {
      element: inside,
      fill(pairs) {
        inside.replaceChildren(...pairs.map(([value, words]) => el("label", {},
          el("input", { type: "checkbox", value, checked: kept?.[name]?.includes(value) ?? false }), el("span", {}, words))));
      },
      get values() { return [...inside.querySelectorAll("input:checked")].map((one) => one.value); },
    };
  }

  async function fill() {
    try {
      const [brief, shown, music] = await Promise.all([get("/api/brief", { language }), get("/api/water"), get("/api/music", { limit: 1 })]);
      notes.fill(brief.notes.map((one) => [one, t(`class.note_${one.replace(/ /g, "_")}`)]));
      themes.fill(brief.themes.map((one) => [one, t(`class.theme_${one}`)]));
      wanted.fill(brief.moves);
      banned.fill(brief.moves);
      build.replaceChildren(...brief.builds.map((one) => el("option", { value: one, selected: one === kept?.build }, t(`class.build_${one.replace(/-/g, "_")}`))));
      place.replaceChildren(el("option", { value: "" }, t("class.any_place")),
        ...music.places.map((one) => el("option", { value: one.path, selected: one.path === kept?.place }, one.dropped ? t("music.place_dropped") : one.name)));
      const depth = shown.far_depth_m ? `${length(shown.depth_m)}–${length(shown.far_depth_m)}` : length(shown.depth_m);
      water.replaceChildren(t("class.for", { water: [t(`water.kind_${shown.form.kind}`), depth, degrees(shown.temperature_c), t("water.n_people", { n: shown.size })].join(", ") }), " ", el("a", { href: "#water" }, t("class.change_water")));
    } catch (error) { sayWrong(error); }
  }

  function send() {
    text(wrong, "");
    const form = {
      title: title.value, minutes: Number(minutes.value), build: build.value, max_impact: impact.value, place: place.value,
      sets: Math.round(Number(sets.value)), work: Number(work.value), rest: Number(rest.value), unit: unit.value, all_once: once.checked,
      wanted: wanted.values, banned: banned.values, themes: themes.values, notes: [...notes.values, ...own.value.split(",").map((one) => one.trim()).filter(Boolean)],
    };
    kept = { ...form, notes: notes.values, own: own.value };
    plan(form);
  }

  return { element, wrong(words) { text(wrong, words); wrong.scrollIntoView({ block: "nearest" }); } };
}
