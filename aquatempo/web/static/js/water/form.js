// The pool and the group as a form, and the group drawn in the water to scale.

import { get, newest, put } from "/static/js/api.js";
import { el, text, whenQuiet } from "/static/js/dom.js";
import { sayWrong } from "/static/js/shell.js";
import { degrees, length, mass, number, t } from "/static/js/words.js";

const POOL = ["depth", "temperature", "space"];
const GROUP = ["size", "women", "heights", "ages", "masses"];
let stamp = Date.now();           // a picture of another state has another address
const WIDE = matchMedia("(min-width: 60rem)");

// changed(shown): what is in force. Returns { element, renew }.
export function makeForm(changed) {
  let form = null, known = "";
  const fields = {}, picture = el("img", { class: "group-picture", alt: "" });
  const wrong = el("p", { class: "wrong-line", role: "alert" });
  const summary = el("span", { class: "small" }), people = el("ul", { class: "small people" });
  const kind = choice("kind", ["shallow", "deep"]), effort = choice("intensity", ["easy", "steady", "hard"]);
  const notes = el("textarea", { id: "water-notes", rows: 2, maxlength: 4000, onchange: () => send() });
  const inputs = (names) => names.map((name) => {
    fields[name] = el("input", { type: "text", id: `water-${name}`, autocomplete: "off", maxlength: 40, oninput: () => later(), onchange: () => send() });
    return el("div", { class: "field" }, el("label", { for: `water-${name}` }, t(`water.${name}`)), fields[name]);
  });
  const element = el("details", { class: "class-form", open: WIDE.matches },
    el("summary", {}, el("strong", {}, t("water.form")), " ", summary),
    picture, people, wrong,
    kind.element, el("div", { class: "fields" }, inputs(POOL)),
    el("h3", {}, t("water.group")), el("div", { class: "fields" }, inputs(GROUP)), effort.element,
    el("div", { class: "field wide" }, el("label", { for: "water-notes" }, t("water.notes")), notes));
  const later = whenQuiet(() => send(), 700), latest = newest();

  function choice(name, values) {
    const options = values.map((value) => el("label", {},
      el("input", { type: "radio", name: `water-${name}`, value, onchange: () => send() }), el("span", {}, t(`water.${name}_${value}`))));
    return {
      element: el("div", { class: "choices", role: "radiogroup", "aria-label": t(`water.${name}`) }, options),
      get value() { return element.querySelector(`input[name="water-${name}"]:checked`)?.value || ""; },
      set value(wanted) { for (const input of this.element.querySelectorAll("input")) input.checked = input.value === wanted; },
    };
  }

  async function send() {
    const wanted = { kind: kind.value, salinity: form ? form.salinity : "", intensity: effort.value, notes: notes.value };
    for (const [name, input] of Object.entries(fields)) wanted[name] = input.value.trim();
    if (JSON.stringify(wanted, Object.keys(wanted).sort()) === known) return;
    try { take(await latest(put("/api/water", wanted))); text(wrong, ""); } catch (error) {
      if (error.status === 400) text(wrong, error.message); else sayWrong(error);
    }
  }

  async function renew() {
    try { take(await latest(get("/api/water"))); } catch (error) { sayWrong(error); }
  }

  function take(shown) { if (shown) show(shown); }

  function show(shown) {
    form = shown.form;
    const before = known;
    known = JSON.stringify(form, Object.keys(form).sort());
    kind.value = form.kind;
    effort.value = shown.intensity;
    if (document.activeElement !== notes) notes.value = form.notes;
    const usual = {
      depth: shown.far_depth_m ? `${length(shown.depth_m)}–${length(shown.far_depth_m)}` : length(shown.depth_m),
      temperature: degrees(shown.temperature_c), space: shown.space_m2 ? `${number(shown.space_m2, 1)} m²` : t("water.enough"),
      size: number(shown.size), women: number(shown.women), heights: range(shown.height_m, length),
      ages: range(shown.age_years, (age) => number(age)), masses: range(shown.mass_kg, mass),
    };
    for (const [name, input] of Object.entries(fields)) {
      input.placeholder = usual[name];
      if (document.activeElement !== input) input.value = form[name];
    }
    text(summary, [t(`water.kind_${form.kind}`), usual.depth, usual.temperature, t("water.n_people", { n: shown.size })].join(" · "));
    people.replaceChildren(...shown.people.map((one) => el("li", {}, t("water.person", {
      height: length(one.height_m), depth: length(one.depth_m), mark: t(`water.mark_${one.landmark.replace(/ /g, "_")}`), load: number(100 * one.foot_load_bw),
    }))));
    if (known !== before) {
      const words = [...shown.people.map((one) => length(one.height_m)), ...shown.people.map((one) => length(one.depth_m))].join("|");
      picture.src = `/api/water/group.svg?${new URLSearchParams({ title: t("water.picture"), words, state: stamp += 1 })}`;
      picture.alt = t("water.picture_alt", { people: [...people.children].map((one) => one.textContent).join("; ") });
      changed(shown);
    }
  }

  return { element, renew };
}

function range([low, high], words) { return low === high ? words(low) : `${words(low)}–${words(high)}`; }
