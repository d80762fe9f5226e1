// The song as lanes: a phrase a lane, its counts side by side, count 1 under count 1.
// Borders and count 1 are dragged; the place is one stop for the keyboard.

import { clear, eachFrame, el, set, text } from "/static/js/dom.js";
import { clock, t, tempo } from "/static/js/words.js";
import { EIGHT, WHOLE } from "/static/js/ear/grid.js";
import { dragCounts } from "/static/js/ear/dragging.js";
import { coloursOf, drawLane } from "/static/js/ear/lane.js";

const NARROW = 34;                // rem; below, a lane holds 16 counts

export class Lanes {
  // moved(beat): the place was chosen. shift(counts), start(phrase index, counts): dragged.
  // drawn(): the lanes were laid out anew.
  constructor(model, { moved, shift, start, key, drawn }) {
    Object.assign(this, { model, moved, shift, start, drawn });
    this.cursor = 0;
    this.cursorTime = null;       // of the song: the marked count stays where it sounds
    this.loop = -1;               // index of the phrase that goes round
    this.ruler = el("div", { class: "ruler" });
    this.head = el("span", { class: "head", hidden: true });
    this.mark = el("span", { class: "cursor" });
    this.rows = el("div", { class: "lane-rows" });
    this.place = el("div", { class: "lane-place", role: "slider", tabindex: "0", "aria-label": t("ear.place"), "aria-valuemin": "0", onkeydown: (event) => { if (key(event)) event.preventDefault(); } });
    this.surface = el("div", { class: "lane-surface" }, this.rows, this.mark, this.head, this.place);
    this.element = el("div", { class: "lanes" }, this.ruler, this.surface);
    this.rows.addEventListener("click", (event) => this.click(event));
    this.redraw = eachFrame(() => this.drawNow());
    this.size = new ResizeObserver(() => this.redraw());
    this.size.observe(this.element);
    this.sight = new IntersectionObserver((seen) => seen.forEach((one) => this.seen(one)), { root: this.element, rootMargin: "300px" });
    this.lanes = [];
  }

  close() { this.size.disconnect(); this.sight.disconnect(); }

  drawNow() {
    if (!this.model.track) return;
    if (this.held) { this.waiting = true; return; }
    const rem = parseFloat(getComputedStyle(document.documentElement).fontSize);
    const wide = this.element.clientWidth;
    this.perLane = wide < NARROW * rem ? 16 : WHOLE;
    this.colours = coloursOf(this.element);
    this.lanes = this.model.grid.lanes(this.perLane);
    this.fitHeight(rem);
    this.sight.disconnect();
    this.rows.replaceChildren(...this.lanes.map((lane, row) => this.row(lane, row)));
    if (!this.lanes.length) this.rows.append(el("p", { class: "no-lanes" }, t("ear.no_lanes")));
    this.drawRuler();
    this.ruler.hidden = !this.lanes.length;
    const track = this.rows.querySelector(".lane-track");
    this.countWidth = track ? track.clientWidth / this.perLane : 10;
    this.laneHeight = track ? track.clientHeight : 40;
    for (const row of this.rows.children) this.sight.observe(row);
    this.place.setAttribute("aria-valuemax", String(Math.max(0, this.model.grid.beats.length - 1)));
    if (this.cursorTime !== null) this.cursor = Math.max(0, Math.round(this.model.grid.beatOf(this.cursorTime)));
    this.showCursor();
    this.drawn();
  }

  // A press on a handle is not lost to a drawing that falls due: that waits for the release.
  hold(on) {
    this.held = on;
    if (on || !this.waiting) return;
    this.waiting = false;
    this.redraw();
  }

  // Lanes share what height there is, within what is good to look at.
  fitHeight(rem) {
    const room = this.element.clientHeight - this.ruler.offsetHeight - rem;
    const height = Math.min(Math.max(room / Math.max(this.lanes.length, 1), 3.1 * rem), 5 * rem);
    this.element.style.setProperty("--lane", `${Math.floor(height)}px`);
  }

  row(lane, row) {
    const { phrase, index, number, offset } = lane;
    const first = offset === 0;
    const label = first
      ? el("button", { class: "lane-label", "data-row": row, tabindex: "-1", title: index > 0 ? t("ear.drag_start") : null }, this.name(lane),
        index > 0 ? el("span", { class: "grip", "aria-hidden": "true" }) : null)
      : el("span", { class: "lane-label more" });
    if (first && index > 0)
      dragCounts(label, {
        width: () => this.countWidth, most: [1 - this.model.grid.phrases[index - 1].counts, phrase.counts - 1],
        over: (counts) => this.showDrag(label, counts), done: (counts) => this.start(index, counts), hold: (on) => this.hold(on),
      });
    const classes = ["lane", phrase.kind, index === this.loop ? "looping" : ""].join(" ");
    return el("div", { class: classes, "data-row": row }, label, el("div", { class: "lane-track" }, el("canvas", { "aria-hidden": "true" })));
  }

  // The tempo of a lane, where it is another than that of the lane before.
  turn(index) {
    const { phrases, analysis: { tempo_sections: parts } } = this.model.grid;
    const at = (phrase) => parts.find((part) => phrase.start_s < part.end_s - 0.05) || parts[parts.length - 1];
    if (parts.length < 2) return null;
    const now = at(phrases[index]), before = index ? at(phrases[index - 1]) : null;
    return before === now ? null : el("span", { class: "lane-tempo digits" }, tempo(now.tempo_bpm));
  }

  // What stands at a lane; some of it is heard, not seen.
  name({ phrase, number, index }) {
    const unseen = (words) => el("span", { class: "unseen" }, words);
    const from = unseen(`, ${t("ear.from_at", { at: clock(phrase.start_s) })}`);
    if (number) return [unseen(`${t("ear.phrase")} `), el("span", { class: "lane-number" }, String(number)), waves(phrase.energy_level), from, this.turn(index)];
    return [el("span", { class: "lane-number" }, t(`ear.${phrase.kind}`)), el("span", { class: "lane-counts digits" }, String(phrase.counts)), unseen(` ${t("ear.n_counts")}`), from, this.turn(index)];
  }

  drawRuler() {
    clear(this.ruler);
    const cells = Array.from({ length: this.perLane }, (_, index) => el("span", { class: index % EIGHT === 0 ? "one" : "" }, String(index % EIGHT + 1)));
    const shown = el("span", { "aria-hidden": "true" }, t("ear.count_one_short"));
    const grip = el("button", { class: "count-one", tabindex: "-1", title: t("ear.drag_one") }, shown, el("span", { class: "unseen" }, t("ear.drag_one")));
    dragCounts(grip, {
      width: () => this.countWidth, most: [-15, 16],
      over: (counts) => { this.rows.style.setProperty("--shift", `${-counts * this.countWidth}px`); this.rows.classList.toggle("shifting", counts !== 0); text(shown, counts ? signed(counts) : t("ear.count_one_short")); },
      done: (counts) => this.shift(counts), hold: (on) => this.hold(on),
    });
    this.ruler.append(grip, el("div", { class: "ruler-counts digits", "aria-hidden": "true", style: { "--counts": this.perLane } }, cells));
  }

  showDrag(label, counts) {
    const track = label.nextElementSibling;
    track.classList.toggle("dragged", counts !== 0);
    track.style.setProperty("--drag", `${counts * this.countWidth}px`);
    track.dataset.drag = counts ? signed(counts) : "";
  }

  seen({ target, isIntersecting }) {
    const canvas = target.querySelector("canvas");
    if (!isIntersecting || canvas.drawn) return;
    canvas.drawn = true;
    drawLane(canvas, this.model, this.lanes[Number(target.dataset.row)], this.countWidth, this.laneHeight, this.colours);
  }

  click(event) {
    const row = event.target.closest(".lane");
    if (!row) return;
    const lane = this.lanes[Number(row.dataset.row)];
    const track = row.querySelector(".lane-track").getBoundingClientRect();
    const count = event.target.closest(".lane-label") ? 0 : Math.floor((event.clientX - track.left) / this.countWidth);
    this.place.focus({ preventScroll: true });
    this.moved(lane.from + Math.min(Math.max(count, 0), lane.counts - 1));
  }

  setCursor(beat, follow = true) {
    const last = this.model.grid.beats.length - 1;
    this.cursor = Math.min(Math.max(beat, 0), Math.max(last, 0));
    this.cursorTime = this.model.grid.timeOf(this.cursor);
    this.showCursor(follow);
  }

  showCursor(follow = false) {
    const at = this.spot(this.cursor);
    this.mark.hidden = !at;
    const { grid } = this.model;
    const inside = grid.at(this.cursor);
    set(this.place, "aria-valuenow", this.cursor);
    set(this.place, "aria-valuetext", inside ? this.placeWords(inside) : "");
    if (!at) return;
    this.mark.style.transform = `translate(${at.x}px, ${at.y}px)`;
    this.mark.style.width = `${this.countWidth}px`;
    this.mark.style.height = `${this.laneHeight}px`;
    if (follow) this.keepInSight(at.y);
  }

  placeWords({ number, phrase, inPhrase, count }) {
    const lane = number ? t("ear.phrase_short", { n: number }) : t(`ear.${phrase.kind}`);
    return t("ear.place_words", { lane, inPhrase, count, at: clock(this.model.grid.timeOf(phrase.start_beat + inPhrase - 1), true) });
  }

  // Where a beat lies on the surface [px].
  spot(beat) {
    const whole = Math.floor(beat);
    const row = this.lanes.findIndex((lane) => whole >= lane.from && whole < lane.from + lane.counts);
    const element = this.rows.children[row];
    if (!element) return null;
    const track = element.lastElementChild;
    return { x: track.offsetLeft + (beat - this.lanes[row].from) * this.countWidth, y: element.offsetTop + track.offsetTop, row };
  }

  // The head moves with the sound: time is where the ear is.
  showHead(time, follow) {
    const beat = this.model.grid.beatOf(time);
    const at = this.spot(beat);
    this.head.hidden = !at;
    if (!at) return;
    this.head.style.transform = `translate(${at.x}px, ${at.y}px)`;
    this.head.style.height = `${this.laneHeight}px`;
    if (follow && this.headRow !== at.row) this.keepInSight(at.y);
    this.headRow = at.row;
  }

  keepInSight(y) {
    const box = this.element, room = this.laneHeight * 1.5, top = this.ruler.offsetHeight;
    if (y - room < box.scrollTop) box.scrollTop = y - room;
    else if (y + top + 2 * room > box.scrollTop + box.clientHeight) box.scrollTop = y + top + 2 * room - box.clientHeight;
  }

  setLoop(index) {
    this.loop = index;
    [...this.rows.children].forEach((row, at) => row.classList.toggle("looping", this.lanes[at].index === index));
  }
}

function signed(counts) { return `${counts > 0 ? "+" : "−"}${Math.abs(counts)}`; }

// Energy as one, two or three waves.
function waves(level) {
  const n = { low: 1, medium: 2, high: 3 }[level] || 1;
  return el("span", { class: "waves", role: "img", "aria-label": t(`ear.energy_${level}`), title: t(`ear.energy_${level}`) }, Array.from({ length: 3 }, (_, index) => el("i", { class: index < n ? "on" : "" })));
}
