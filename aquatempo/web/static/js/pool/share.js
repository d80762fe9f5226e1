// The deck page on a phone in the same room: off until it is switched on here, by a code that ends.

import { get, post } from "/static/js/api.js";
import { el, text } from "/static/js/dom.js";
import { sayWrong } from "/static/js/shell.js";
import { duration, number, t } from "/static/js/words.js";

const LOOK_MS = 10_000;
const MINUTES = [60, 180, 480];

export function makeShare(id) {
  const inside = el("div", { class: "share-inside" });
  const element = el("section", { class: "share", "aria-labelledby": "share-head" }, el("h2", { id: "share-head" }, t("pool.share")), inside);
  const timer = setInterval(() => { if (inside.dataset.on) look(); }, LOOK_MS);
  look();

  function look() { get("/api/share").then(show).catch(sayWrong); }

  function show(now) {
    const mine = now.on && now.plan === id;
    if (mine && inside.dataset.on === now.link) { text(inside.querySelector(".share-left"), leftWords(now)); return; }
    if (mine) inside.dataset.on = now.link; else delete inside.dataset.on;
    inside.replaceChildren(...(mine ? shared(now) : choices(now)));
  }

  function choices(now) {
    const address = el("select", { id: "share-address" }, now.addresses.map((one) => el("option", { value: one }, one.startsWith("127.") ? t("pool.this_machine", { address: one }) : one)));
    const minutes = el("select", { id: "share-minutes" }, MINUTES.map((one) => el("option", { value: one, selected: one === 180 }, duration(60 * one))));
    return [
      now.on ? el("p", { class: "to-check small" }, t("pool.other_shared", { title: now.title })) : null,
      el("p", { class: "small" }, t("pool.share_text")),
      el("div", { class: "fields" }, el("div", { class: "field" }, el("label", { for: "share-address" }, t("pool.address")), address), el("div", { class: "field" }, el("label", { for: "share-minutes" }, t("pool.for_long")), minutes)),
      el("button", { onclick: () => post("/api/share/start", { plan: id, address: address.value, minutes: Number(minutes.value) }).then(show).catch(sayWrong) }, t("pool.share_on")),
    ].filter(Boolean);
  }

  function shared(now) {
    return [
      el("img", { class: "share-code", src: `/api/share/code.svg`, alt: t("pool.code_alt") }),
      el("p", { class: "small" }, el("a", { href: now.link, target: "_blank", rel: "noopener noreferrer" }, now.link)),
      el("p", { class: "small share-left", role: "status" }, leftWords(now)),
      el("button", { onclick: () => post("/api/share/stop").then(show).catch(sayWrong) }, t("pool.share_off")),
    ];
  }

  function leftWords(now) { return t("pool.left", { time: duration(now.left_s), n: number(now.fetched) }); }

  return { element, close: () => clearInterval(timer) };
}
