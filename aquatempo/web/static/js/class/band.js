// The class as a band of songs in time, the effort as a curve over it. Songs are dragged by
// their grip, or moved with Alt and the arrow keys.

import { el, svg } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { clock, number, t, tempo } from "/static/js/words.js";

const LOW = 6, HIGH = 18;          // of the scale of perceived effort that is drawn

// told: { chosen(number), moved(number, to), lock(track) }. Returns { element, show(plan, chosen) }.
export function makeBand(told) {
  const curve = el("div", { class: "band-curve" }), songs = el("ol", { class: "band-songs" });
  const element = el("div", { class: "band", role: "group", "aria-label": t("class.band") }, el("div", { class: "band-inside" }, curve, songs));
  let plan = null;

  function show(now, chosen) {
    plan = now;
    const focused = document.activeElement?.dataset?.song;
    curve.replaceChildren(effortCurve(plan));
    songs.replaceChildren(...plan.tracks.map((track) => song(track, track.number === chosen)));
    if (focused) songs.querySelector(`[data-song="${CSS.escape(focused)}"]`)?.focus();
  }

  function song(track, chosen) {
    const faults = plan.findings.filter((one) => one.place.split(".")[0] === String(track.number) && one.severity !== "advice").length;
    const button = el("button", {
      class: "song-block", dataset: { song: `${track.title}|${track.part}` }, "aria-pressed": String(chosen),
      onclick: () => told.chosen(track.number),
      onkeydown: (event) => {
        const by = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
        if (!by) return;
        event.preventDefault();
        if (event.altKey) told.moved(track.number, track.number + by);
        else songs.querySelectorAll(".song-block")[track.number - 1 + by]?.focus();
      },
    },
      el("span", { class: "song-title" }, track.title),
      el("span", { class: "small digits" }, track.clock ? t("class.by_clock") : `${tempo(track.tempo_bpm * track.speed)} bpm`),
      el("span", { class: "small digits quiet" }, clock(track.lasts_s)),
      el("span", { class: "unseen" }, [t("class.song_words", { part: part(track.part), at: clock(track.at_s) }), track.locked ? t("class.locked") : "", faults ? t("class.faults", { n: faults }) : ""].filter(Boolean).join(", ")),
      track.locked ? icon("lock") : null,
      faults ? el("span", { class: "faults", "aria-hidden": "true" }, number(faults)) : null);
    const grip = el("span", { class: "song-grip", title: t("class.drag"), "aria-hidden": "true" }, icon("grip"));
    grip.addEventListener("pointerdown", (event) => drag(event, track.number));
    return el("li", { class: `part-${track.part.replace(/[^a-z]/g, "")}`, style: { "flex-grow": String(Math.max(1, Math.round(track.lasts_s))) } }, grip, button);
  }

  function drag(event, from) {
    if (event.button) return;
    event.preventDefault();
    const items = [...songs.children], moving = items[from - 1], grip = event.currentTarget;
    grip.setPointerCapture(event.pointerId);
    moving.classList.add("dragged");
    let to = from;
    const move = (moved) => {
      to = 1 + items.filter((item, at) => at !== from - 1 && moved.clientX > (item.getBoundingClientRect().left + item.getBoundingClientRect().right) / 2).length;
      items.forEach((item, at) => { item.classList.toggle("before", at + 1 === to && to < from); item.classList.toggle("after", at + 1 === to && to > from); });
    };
    const end = () => {
      grip.removeEventListener("pointermove", move);
      items.forEach((item) => item.classList.remove("dragged", "before", "after"));
      if (to !== from) told.moved(from, to);
    };
    grip.addEventListener("pointermove", move);
    grip.addEventListener("pointerup", end, { once: true });
    grip.addEventListener("pointercancel", () => { to = from; end(); }, { once: true });
  }

  return { element, show };
}

export function part(name) { return t(`class.part_${name.replace(/-/g, "_")}`); }

function effortCurve(plan) {
  const width = 1000, height = 90, all = plan.minutes || 1;
  const x = (minute) => (minute / all * width).toFixed(1);
  const y = (effort) => (height - (Math.min(HIGH, Math.max(LOW, effort)) - LOW) / (HIGH - LOW) * height).toFixed(1);
  let d = "";
  plan.effort.forEach(([minute, effort], at) => {
    const end = at + 1 < plan.effort.length ? plan.effort[at + 1][0] : all;
    d += `${at ? "L" : "M"}${x(minute)} ${y(effort)}L${x(end)} ${y(effort)}`;
  });
  const rules = [9, 12, 15].map((effort) => svg("line", { class: "grid", x1: 0, x2: width, y1: y(effort), y2: y(effort) }));
  const fill = d ? svg("path", { class: "effort-fill", d: `${d}L${width} ${height}L0 ${height}Z` }) : null;
  const picture = svg("svg", { viewBox: `0 0 ${width} ${height}`, preserveAspectRatio: "none", role: "img", "aria-label": effortWords(plan) }, ...rules, fill, svg("path", { class: "effort-line", d }));
  return el("div", { class: "effort" }, picture, ...[9, 12, 15].map((effort) => el("span", { class: "small quiet digits scale", style: { top: `${(1 - (effort - LOW) / (HIGH - LOW)) * 100}%` } }, number(effort))));
}

function effortWords(plan) {
  const values = plan.effort.map(([, effort]) => effort);
  if (!values.length) return t("class.effort");
  return t("class.effort_words", { low: number(Math.min(...values)), high: number(Math.max(...values)) });
}
