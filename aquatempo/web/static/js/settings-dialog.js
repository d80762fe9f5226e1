// Settings, and the end of the program.

import { post } from "/static/js/api.js";
import { el, text } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { change, knownLanguages, settings, version } from "/static/js/settings.js";
import { number, t } from "/static/js/words.js";

const LANGUAGE_NAMES = { en: "English", de: "Deutsch" };

export function openSettings() {
  const dialog = el("dialog", { class: "settings", "aria-labelledby": "settings-head" });
  const draw = () => dialog.replaceChildren(...content(dialog, draw));
  draw();
  dialog.addEventListener("close", () => dialog.remove());
  dialog.addEventListener("click", (event) => { if (event.target === dialog) dialog.close(); });
  document.body.append(dialog);
  dialog.showModal();
}

function content(dialog, draw) {
  return [
    el("header", {},
      el("h2", { id: "settings-head" }, t("settings.head")),
      el("button", { class: "plain square", "aria-label": t("frame.close"), onclick: () => dialog.close() }, icon("close"))),
    el("div", { class: "settings-list" },
      choice("language", ["", ...knownLanguages()], (one) => LANGUAGE_NAMES[one] || t("settings.device"), draw),
      choice("theme", ["device", "day", "dark"], (one) => t(`settings.${one}`), draw),
      choice("type_size", ["usual", "large", "largest"], (one) => t(`settings.${one}`), draw),
      choice("units", ["metric", "feet"], (one) => t(`settings.${one}`), draw),
      level("song_level", 0, 1, 0.05, (value) => `${number(100 * value)} %`),
      level("click_level", 0, 1, 0.05, (value) => `${number(100 * value)} %`),
      level("delay_ms", -200, 500, 10, (value) => `${number(value)} ms`),
      el("p", { class: "quiet small" }, t("settings.delay_help")),
      el("div", { class: "ending" },
        el("span", { class: "quiet small" }, `aquatempo ${version}`),
        el("button", { onclick: () => { dialog.close(); post("/api/end"); } }, t("settings.end")))),
  ];
}

function choice(name, values, words, draw) {
  const options = values.map((value) => el("label", {},
    el("input", {
      type: "radio", name: `setting-${name}`, value, checked: settings[name] === value,
      onchange: async () => {
        await change({ [name]: value });
        draw();
        document.querySelector(`input[name="setting-${name}"]:checked`)?.focus();
      },
    }),
    el("span", {}, words(value))));
  return el("div", { class: "choice", role: "radiogroup", "aria-label": t(`settings.${name}`) },
    el("h3", {}, t(`settings.${name}`)), el("div", { class: "choices" }, options));
}

function level(name, min, max, step, words) {
  const shown = el("output", { class: "digits" }, words(settings[name]));
  const input = el("input", {
    type: "range", id: `setting-${name}`, min, max, step, value: settings[name],
    oninput: (event) => text(shown, words(Number(event.target.value))),
    onchange: (event) => change({ [name]: Number(event.target.value) }),
  });
  return el("div", { class: "level" }, el("label", { for: `setting-${name}` }, el("h3", {}, t(`settings.${name}`))), shown, input);
}
