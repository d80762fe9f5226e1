"use strict";
// The figure of a move, drawn at the beat: the person in the water, as the class sees an instructor.

const SVG = "http://www.w3.org/2000/svg";
const INKS = { lead: "#0f2c35", other: "#5b7a84", halo: "#ffffff", ground: "#ffffff", water: "#d3e9ee", surface: "#14667a", floor: "#38525a" };

class Figure {
  constructor(element, figures) {
    this.element = element;
    this.figures = figures;
    this.shown = null;
    this.on = true;
    this.still = matchMedia("(prefers-reduced-motion: reduce)");
  }

  // counts: since the change, with its fraction.
  draw(name, counts) {
    const figure = this.on ? this.figures[name] || null : null;
    if (figure !== this.shown) this.open(figure);
    if (!figure) return;
    const { frame, share } = this.still.matches ? { frame: figure.still, share: 0 } : frameAt(figure.counts, counts);
    const key = frame + share;
    if (key === this.key) return;
    this.key = key;
    figure.parts.forEach((part, index) => {
      if (part.frames.length === 1 && this.drawn.has(index)) return;
      this.drawn.add(index);
      const d = pathAt(part, frame, share);
      for (const line of this.lines[index]) line.setAttribute("d", d);
    });
  }

  open(figure) {
    this.shown = figure;
    this.key = -1;
    this.drawn = new Set();
    this.element.toggleAttribute("hidden", !figure);
    this.element.replaceChildren();
    if (!figure) return;
    const [left, top, width, height] = figure.box, bottom = top + height;
    this.element.setAttribute("viewBox", figure.box.join(" "));
    const add = (kind, facts) => {
      const one = document.createElementNS(SVG, kind);
      for (const [name, value] of Object.entries(facts)) one.setAttribute(name, value);
      this.element.append(one);
      return one;
    };
    add("rect", { x: left, y: top, width, height, fill: INKS.ground });
    add("rect", { x: left, y: figure.surface, width, height: bottom - figure.surface, fill: INKS.water });
    if (figure.floor) add("path", { d: `M${left} 0H${left + width}`, stroke: INKS.floor, "stroke-width": 2.5 });
    this.lines = figure.parts.map((part) => {
      const colour = part.other ? INKS.other : INKS.lead, round = { "stroke-linecap": "round", "stroke-linejoin": "round" };
      return [
        add("path", { ...round, fill: "none", stroke: INKS.halo, "stroke-width": part.wide + 3.2 }),
        add("path", { ...round, fill: part.filled ? colour : "none", stroke: colour, "stroke-width": part.wide }),
      ];
    });
    add("path", { d: `M${left} ${figure.surface}H${left + width}`, stroke: INKS.surface, "stroke-width": 2.2 });
  }
}

// Return the frame that stands at a count of the loop, and the share of the way to the next.
function frameAt(times, counts) {
  const whole = times[times.length - 1];
  if (!(whole > 0)) return { frame: 0, share: 0 };
  const inside = ((counts % whole) + whole) % whole;
  const frame = Math.min(Math.max(lastAtOrBefore(times, inside), 0), times.length - 2);
  return { frame, share: (inside - times[frame]) / Math.max(times[frame + 1] - times[frame], 1e-6) };
}

function pathAt(part, frame, share) {
  const here = part.frames[part.frames.length === 1 ? 0 : frame];
  const there = part.frames[frame + 1] || here;
  const at = (index) => (here[index] + share * (there[index] - here[index])).toFixed(1);
  let d = "";
  for (let index = 0; index < here.length; index += 2) d += `${index ? "L" : "M"}${at(index)} ${at(index + 1)}`;
  return here.length > 4 ? `${d}Z` : d;
}
