// Pictures of our own, drawn with a pen of one width.

import { svg } from "/static/js/dom.js";

const STROKES = {
  music: ["M9 18V6l10-2v11", "M9 18a2.5 2.5 0 1 1-5 0 2.5 2.5 0 0 1 5 0Z", "M19 15a2.5 2.5 0 1 1-5 0 2.5 2.5 0 0 1 5 0Z"],
  ear: ["M7 10a5.5 5.5 0 0 1 11 0c0 3.5-3.5 4.3-3.5 7.5a3 3 0 0 1-5.6 1.5", "M10.3 10.5a2.2 2.2 0 0 1 4.4 0c0 1.5-1.7 2-2.2 3"],
  filter: ["M4 6h16M7 12h10M10 18h4"],
  more: ["M5 12h.01M12 12h.01M19 12h.01"],
  yes: ["M5 12.5 10 17 19 7"],
  join: ["M12 20V5M7 10l5-5 5 5", "M4 4h16"],
  one: ["M10 7l3-2v14M9 19h8"],
  phrase: ["M5 5v14M9 9h10M9 15h10"],
  bridge: ["M4 6v12M20 6v12M4 15c3-7 13-7 16 0"],
  water: ["M3 8c3 0 3 2 6 2s3-2 6-2 3 2 6 2", "M3 13c3 0 3 2 6 2s3-2 6-2 3 2 6 2", "M3 18c3 0 3 2 6 2s3-2 6-2 3 2 6 2"],
  class: ["M4 5h16v5H4ZM4 14h9v5H4ZM16 14h4v5h-4Z"],
  pool: ["M5 4h14v16H5Z", "M8 9h8M8 13h8M8 17h4"],
  settings: ["M4 7h9M17 7h3M4 17h3M11 17h9", "M15 4.5v5M9 14.5v5"],
  play: ["M7 4.5v15l12-7.5Z"],
  pause: ["M8 5v14M16 5v14"],
  back: ["M18 5l-8 7 8 7M6 5v14"],
  forward: ["M6 5l8 7-8 7M18 5v14"],
  loop: ["M5 12a5 5 0 0 1 5-5h7M19 12a5 5 0 0 1-5 5H7", "M14.5 4 17.5 7l-3 3M9.5 20l-3-3 3-3"],
  slow: ["M4 18a8 8 0 0 1 16 0", "M12 18 8 11"],
  click: ["M5 20 9 4h6l4 16Z", "M12 16l5-9"],
  undo: ["M8 5 4 9l4 4", "M4 9h10a5 5 0 0 1 0 10H9"],
  redo: ["M16 5l4 4-4 4", "M20 9H10a5 5 0 0 0 0 10h5"],
  folder: ["M3 6h6l2 2h10v11H3Z"],
  plus: ["M12 5v14M5 12h14"],
  close: ["M6 6l12 12M18 6 6 18"],
  up: ["M12 19V5M6 11l6-6 6 6"],
  search: ["M11 5a6 6 0 1 1 0 12 6 6 0 0 1 0-12Z", "M15.5 15.5 20 20"],
  left: ["M15 5l-7 7 7 7"],
  right: ["M9 5l7 7-7 7"],
  lock: ["M6 11h12v9H6Z", "M8.5 11V8a3.5 3.5 0 0 1 7 0v3"],
  unlock: ["M6 11h12v9H6Z", "M8.5 11V8a3.5 3.5 0 0 1 6.7-1.4"],
  grip: ["M9 6h.01M15 6h.01M9 12h.01M15 12h.01M9 18h.01M15 18h.01"],
  tap: ["M12 20v-8", "M9 15l3-3 3 3", "M5 9a7 7 0 0 1 14 0"],
};

export function icon(name) {
  const paths = STROKES[name].map((d) => svg("path", { d }));
  return svg("svg", { class: "icon", viewBox: "0 0 24 24", "aria-hidden": "true", focusable: "false" }, ...paths);
}

// How something suits: a full, a half, an empty drop of water. Shape first, colour second.
const DROP = "M12 2.5C8 8 5.5 11.2 5.5 14.8a6.5 6.5 0 0 0 13 0C18.5 11.2 16 8 12 2.5Z";
const HALF = "M5.6 14h12.8a6.5 6.5 0 0 1-12.8 0Z";

export function drop(fit) {
  const parts = [svg("path", { d: DROP, class: fit === "suits" ? "full" : "rim" })];
  if (fit === "suits with changes") parts.push(svg("path", { d: HALF, class: "full" }));
  if (fit === "does not suit") parts.push(svg("path", { d: "M6 20 18 8", class: "rim" }));
  return svg("svg", { class: `drop ${fit.replace(/ /g, "-")}`, viewBox: "0 0 24 24", "aria-hidden": "true" }, ...parts);
}

// Energy over a track as the surface of water: one path for digits 0 to 9, "-" for no phrase.
export function surface(digits) {
  const width = 96, height = 24;
  const path = svg("path", { class: "water", d: surfacePath(digits, width, height) });
  return svg("svg", { class: "surface", viewBox: `0 0 ${width} ${height}`, preserveAspectRatio: "none", "aria-hidden": "true" }, path);
}

export function surfacePath(digits, width, height) {
  if (!digits) return "";
  const step = width / digits.length;
  const tops = [...digits].map((sign) => height - 1.5 - (sign === "-" ? 0 : (Number(sign) + 1) / 10 * (height - 3)));
  let d = `M0 ${height}L0 ${tops[0].toFixed(1)}`;
  tops.forEach((top, index) => {
    const middle = (index + 0.5) * step;
    d += `L${middle.toFixed(1)} ${top.toFixed(1)}`;
  });
  return `${d}L${width} ${tops[tops.length - 1].toFixed(1)}L${width} ${height}Z`;
}
