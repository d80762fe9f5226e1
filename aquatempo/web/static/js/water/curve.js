// Range kept against tempo: the middle of the group as lines, weak to strong end as a band.

import { svg } from "/static/js/dom.js";
import { number, t } from "/static/js/words.js";

const WIDTH = 320, HEIGHT = 170, LEFT = 40, RIGHT = 10, TOP = 10, BOTTOM = 34;
const DASHES = { 1: "none", 2: "7 3", 4: "2 3" };

export function curvePicture(curves, bpm) {
  const tempos = curves[0].tempos_bpm, first = tempos[0], last = tempos[tempos.length - 1];
  const x = (value) => LEFT + (value - first) / (last - first) * (WIDTH - LEFT - RIGHT);
  const y = (share) => TOP + (1 - Math.min(1, share)) * (HEIGHT - TOP - BOTTOM);
  const line = (values) => values.map((value, at) => `${at ? "L" : "M"}${x(tempos[at]).toFixed(1)} ${y(value).toFixed(1)}`).join("");
  const parts = [];
  for (const share of [0, 0.5, 1])
    parts.push(svg("line", { class: "grid", x1: LEFT, x2: WIDTH - RIGHT, y1: y(share), y2: y(share) }),
      svg("text", { x: LEFT - 5, y: y(share) + 4, "text-anchor": "end" }, `${number(100 * share)} %`));
  for (let tempo = Math.ceil(first / 20) * 20; tempo <= last; tempo += 20)
    parts.push(svg("line", { class: "grid", x1: x(tempo), x2: x(tempo), y1: y(0), y2: y(0) + 4 }),
      svg("text", { x: x(tempo), y: y(0) + 16, "text-anchor": "middle" }, number(tempo)));
  parts.push(svg("text", { x: (LEFT + WIDTH) / 2, y: HEIGHT - 3, "text-anchor": "middle" }, t("water.curve_axis")));
  for (const curve of curves) {
    const back = [...curve.low].map((value, at) => [value, tempos[at]]).reverse();
    parts.push(svg("path", { class: "band", d: `${line(curve.high)}${back.map(([value, tempo]) => `L${x(tempo).toFixed(1)} ${y(value).toFixed(1)}`).join("")}Z` }));
  }
  for (const curve of curves) parts.push(svg("path", { class: "median", d: line(curve.median), "stroke-dasharray": DASHES[curve.pattern] || "none" }));
  if (bpm >= first && bpm <= last) parts.push(svg("line", { class: "now", x1: x(bpm), x2: x(bpm), y1: TOP, y2: y(0) }));
  return svg("svg", { class: "curve", viewBox: `0 0 ${WIDTH} ${HEIGHT}`, role: "img", "aria-label": t("water.curve_alt") }, ...parts);
}

// What the dashes mean.
export function curveKey(patterns) {
  return patterns.map((pattern) => [svg("svg", { class: "dash", viewBox: "0 0 30 8", "aria-hidden": "true" },
    svg("path", { class: "median", d: "M1 4H29", "stroke-dasharray": DASHES[pattern] || "none" })), t(`water.pattern_${pattern}`)]);
}
