"use strict";
// What is shown for one moment of one track. Pure functions, then the drawing.

const EIGHT = 8;

// Return what holds at a place [s of the file]: beat, count, change, movement, what is next.
function moment(track, time) {
  const beat = lastAtOrBefore(track.beats_s, time);
  const index = lastAtOrBefore(track.changeBeats, beat);
  const change = track.changes[index] || null;
  const next = track.changes[index + 1] || null;
  const phraseIndex = lastAtOrBefore(track.phraseBeats, beat);
  const phrase = track.phrases[phraseIndex] || null;
  const from = phrase ? phrase.start_beat : 0;
  const ended = beat >= 0 && time > track.beats_s[track.beats_s.length - 1] + 2 * track.period_s;
  const count = beat < 0 || ended ? 0 : ((beat - from) % EIGHT + EIGHT) % EIGHT + 1;
  const call = track.calls[lastAtOrBefore(track.callTimes, time)] || null;
  return {
    beat, count, change, next, phraseIndex, ended,
    left: next ? next.beat - Math.max(beat, -1) : 0,
    movement: change ? movementAt(change, beat - change.beat) : null,
    call: call && time < call.end_s + 0.25 * track.period_s ? call : null,
  };
}

// Return the movement that a count belongs to: its number in the eight and its name.
function movementAt(change, offset) {
  if (!change.steps.length || offset < 0) return null;
  let start = 0;
  const cycle = change.steps.reduce((sum, step) => sum + step.counts, 0);
  const rounds = Math.floor(offset / cycle);
  const inside = offset - rounds * cycle;
  for (let k = 0; k < change.steps.length; k++) {
    const step = change.steps[k];
    if (inside < start + step.counts) {
      const done = rounds * change.steps.length + k;
      const names = change.movements;
      return { name: names.length ? names[done % names.length] : "",
               held: inside >= start + step.moving, number: done };
    }
    start += step.counts;
  }
  return null;
}

// Return the counts of the eight that starts at an offset, in groups, one a movement.
function groupsOfEight(change, offset) {
  const groups = [];
  const cycle = change && change.steps.length
    ? change.steps.reduce((sum, step) => sum + step.counts, 0) : 1;
  for (let count = 0; count < EIGHT; count++) {
    let inside = ((offset + count) % cycle + cycle) % cycle, k = 0;
    if (change && change.steps.length) {
      while (inside >= change.steps[k].counts) { inside -= change.steps[k].counts; k++; }
    } else inside = 0;
    if (inside === 0 || !groups.length) groups.push([]);
    const held = Boolean(change && change.steps.length && inside >= change.steps[k].moving);
    groups[groups.length - 1].push({ count: count + 1, held });
  }
  return groups;
}

// Keep what is in brackets on the line of the word before it, and a mark with its word.
function unbroken(text) { return text.replace(/ \(/g, "\u00a0(").replace(/▸ /g, "▸\u00a0"); }

function clockText(seconds) {
  const whole = Math.max(0, Math.floor(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

const FITTED = ["move", "news", "sign", "call"];

class View {
  constructor(words, figures) {
    this.words = words;
    this.figure = new Figure(document.getElementById("figure"), figures);
    this.shown = {};
    for (const id of ["move", "details", "count", "eight", "movement", "stint", "next", "news", "left", "call", "sign", "whole",
                      "coming", "strip", "clock", "tempo", "source", "message"])
      this[id] = document.getElementById(id);
  }

  text(id, value) {
    if (this.shown[id] === value) return;
    this.shown[id] = value;
    this[id].textContent = value;
    if (FITTED.includes(id)) this.fitOne(this[id]);
  }

  fit() { for (const id of FITTED) this.fitOne(this[id]); }

  // Set a long text smaller, until it takes two lines at most and no word is broken.
  fitOne(part) {
    for (const share of [1, 0.86, 0.74, 0.63, 0.54]) {
      part.style.setProperty("--fit", share);
      const size = parseFloat(getComputedStyle(part).fontSize);
      const word = Math.max(...part.textContent.split(/\s+/).map((piece) => piece.length));
      if (part.offsetHeight < 2.4 * size && word * size * 0.62 <= part.clientWidth) return;
    }
  }

  // after: what to show as next where no change is left.
  open(track, after) {
    this.shown = {};
    this.after = after;
    this.text("tempo", `${track.tempo_bpm.toFixed(0)} bpm`);
    this.strip.replaceChildren();
    this.cells = track.phrases.map((phrase) => {
      const cell = document.createElement("span");
      cell.className = "phrase" + (phrase.kind === "phrase" ? "" : " odd");
      cell.style.flex = `${phrase.counts} 1 0`;
      cell.textContent = phrase.number || "";
      cell.title = `${phrase.label}, ${phrase.counts}`;
      this.strip.append(cell);
      return cell;
    });
    this.head = document.createElement("span");
    this.head.id = "head";
    this.strip.append(this.head);
    this.strip.setAttribute("aria-valuemax", String(Math.round(track.duration_s)));
    this.shown.group = this.shown.place = null;
  }

  draw(track, time) {
    const at = moment(track, time);
    const first = track.changes[0];
    this.text("move", at.ended ? this.words.end : at.change ? at.change.name : first ? first.name : track.title);
    this.text("details", at.ended ? "" : unbroken(at.change ? at.change.details : first ? first.details : ""));
    this.text("count", at.count ? String(at.count) : "–");
    this.text("next", at.next ? at.next.name : this.after);
    this.text("news", at.next ? (at.next.same ? "▸ " : "") + at.next.news : "");
    this.text("left", at.next && at.left > 0 ? String(at.left) : "");
    this.text("sign", at.next && at.next.sign ? `${this.words.sign}: ${at.next.sign}` : "");
    this.text("call", at.call ? at.call.words || at.call.sign : "");
    this.text("movement", at.movement && !at.ended ? at.movement.name : "");
    this.drawStint(track, time, at);
    this.text("clock", `${clockText(time)} / ${clockText(track.duration_s)}`);
    this.text("whole", `${this.words.class_clock} ${clockText(track.before_s + Math.max(0, time - track.start_s) / track.speed)}`);
    const soon = Boolean(at.next && at.left <= EIGHT && at.left > 0);
    if (this.shown.soon !== soon) { this.shown.soon = soon; this.coming.classList.toggle("soon", soon); }
    if (this.shown.one !== (at.count === 1)) { this.shown.one = at.count === 1; this.count.classList.toggle("one", at.count === 1); }
    this.drawFigure(track, time, at);
    this.drawEight(at);
    this.drawPlace(track, time, at);
    return at;
  }

  // Work or rest, its set and the seconds that are left of it, as heard.
  drawStint(track, time, at) {
    const change = at.ended ? null : at.change;
    const left = change && change.stint ? Math.max(0, change.stint_end_s - time) / track.speed : 0;
    this.text("stint", change && change.stint ? `${change.stint} ${change.set} · ${Math.ceil(left - 0.05)} s` : "");
    const works = Boolean(change && change.works);
    if (this.shown.works !== works) { this.shown.works = works; this.stint.classList.toggle("works", works); }
  }

  // The move of now, or the first one before it starts, at its own place between two beats.
  drawFigure(track, time, at) {
    const change = at.ended ? null : at.change || track.changes[0];
    if (!change) { this.figure.draw("", 0); return; }
    const here = track.beats_s[at.beat], next = track.beats_s[at.beat + 1];
    const share = at.beat < 0 ? 0 : Math.min((time - here) / ((next || here + track.period_s) - here), 1);
    this.figure.draw(change.figure, at.change ? at.beat - change.beat + share : 0);
  }

  drawEight(at) {
    const offset = at.change ? at.beat - (at.count - 1) - at.change.beat : 0;
    const key = at.change ? `${at.change.beat}/${offset % 64}` : "none";
    if (this.shown.group !== key) {
      this.shown.group = key;
      this.beats = [];
      this.eight.replaceChildren(...groupsOfEight(at.change, offset).map((group) => {
        const box = document.createElement("span");
        box.className = "group";
        for (const { count, held } of group) {
          const beat = document.createElement("span");
          beat.className = "beat" + (held ? " held" : "");
          beat.textContent = count;
          this.beats.push(beat);
          box.append(beat);
        }
        box.style.flex = `${group.length} 1 0`;
        return box;
      }));
      this.shown.on = -1;
    }
    if (this.shown.on !== at.count) {
      this.beats.forEach((beat, index) => beat.classList.toggle("on", index + 1 === at.count));
      this.shown.on = at.count;
    }
  }

  drawPlace(track, time, at) {
    if (this.shown.place !== at.phraseIndex) {
      this.shown.place = at.phraseIndex;
      this.cells.forEach((cell, index) => cell.classList.toggle("here", index === at.phraseIndex));
    }
    const first = track.phrases[0];
    if (!first) return;
    const phrase = track.phrases[Math.max(at.phraseIndex, 0)];
    const before = track.phrases.slice(0, Math.max(at.phraseIndex, 0)).reduce((sum, p) => sum + p.counts, 0);
    const total = track.phrases.reduce((sum, p) => sum + p.counts, 0);
    const length = Math.max(phrase.end_s - phrase.start_s, 1e-6);
    const share = Math.min(Math.max((time - phrase.start_s) / length, 0), 1);
    this.head.style.left = `${100 * (before + share * phrase.counts) / total}%`;
    const second = Math.floor(time);
    if (this.shown.second !== second) {
      this.shown.second = second;
      this.strip.setAttribute("aria-valuenow", String(Math.max(0, second)));
      this.strip.setAttribute("aria-valuetext", clockText(time));
    }
  }
}
