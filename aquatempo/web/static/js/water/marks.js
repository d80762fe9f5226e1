// Marks for a verdict: how much of the range is kept, and what that is called.

import { el, svg } from "/static/js/dom.js";
import { number, t } from "/static/js/words.js";

export function ratingWords(rating) { return t(`water.rating_${rating.replace(/\W+/g, "_")}`); }

// The middle of the group as a filled bar, weak to strong end as a line over it.
export function rangeBar([low, median, high], rating = "") {
  const percent = (share) => Math.round(100 * Math.min(1, share));
  const kept = rating.startsWith("full") ? percent(median) : Math.floor(100 * median);  // never full by rounding
  return el("span", { class: "range" },
    svg("svg", { viewBox: "0 0 100 12", preserveAspectRatio: "none", "aria-hidden": "true" },
      svg("rect", { x: 0, y: 1, width: 100, height: 10, class: "well" }),
      svg("rect", { x: 0, y: 1, width: kept, height: 10, class: "kept" }),
      svg("rect", { x: percent(low), y: 5, width: Math.max(1, percent(high) - percent(low)), height: 2, class: "band" })),
    el("span", { class: "digits small" }, `${number(kept)} %`));
}
