// Words in the chosen language, and numbers, times and lengths as it writes them.

let spoken = {};
export let language = "en";

export async function speak(wanted, known) {
  const first = wanted || navigator.language.slice(0, 2);
  language = known.includes(first) ? first : "en";
  spoken = await (await fetch(`/words/${language}.json`)).json();
  document.documentElement.lang = language;
}

// t("music.songs", { n: 3 }): a word by part and key, its {places} filled.
// Where a number n decides, the key may have a form of its own for one: heard_one.
export function t(key, places = {}) {
  const [part, name] = key.split(".");
  const words = spoken[part] || {};
  const one = places.n === 1 ? words[`${name}_one`] : undefined;
  const found = one ?? words[name];
  if (found === undefined) throw new Error(`no word for ${key}`);
  return found.replace(/\{(\w+)\}/g, (whole, place) => place in places ? shown(places[place]) : whole);
}

// The same, where a word may be missing: fallback then.
export function tOr(key, fallback) {
  const [part, name] = key.split(".");
  return (spoken[part] || {})[name] ?? fallback;
}

// Names that come from records, such as "suits with changes", have a word each.
export function named(part, value) { return t(`${part}.${value.replace(/[^a-z0-9]+/gi, "_")}`); }

function shown(value) { return typeof value === "number" ? number(value) : value; }

const written = new Map();        // language and digits -> how numbers are written; making one takes its time
export function number(value, digits = 0) {
  const key = `${language} ${digits}`;
  let known = written.get(key);
  if (!known) {
    known = new Intl.NumberFormat(language, { minimumFractionDigits: digits, maximumFractionDigits: digits });
    written.set(key, known);
  }
  return known.format(value);
}

// 132 or 132.4: a tenth only where it says something.
export function tempo(bpm) { return number(bpm, Math.abs(bpm - Math.round(bpm)) < 0.05 ? 0 : 1); }

export function clock(seconds, tenths = false) {
  const whole = Math.max(0, tenths ? Math.floor(seconds * 10) / 10 : Math.round(seconds));
  const hours = Math.floor(whole / 3600), minutes = Math.floor(whole / 60) % 60;
  const rest = tenths ? (whole % 60).toFixed(1).padStart(4, "0") : String(whole % 60).padStart(2, "0");
  return hours ? `${hours}:${String(minutes).padStart(2, "0")}:${rest}` : `${minutes}:${rest}`;
}

// How long something will take, as one says it.
export function duration(seconds) {
  if (seconds < 90) return t("frame.seconds", { n: Math.max(1, Math.round(seconds / 5) * 5) });
  if (seconds < 5400) return t("frame.minutes", { n: Math.round(seconds / 60) });
  return t("frame.hours", { n: number(seconds / 3600, 1) });
}

// Lengths, degrees and masses in the units of the settings. words.js is told them.
let inFeet = false;
export function useFeet(on) { inFeet = on; }

export function length(metres) {
  if (!inFeet) return `${number(metres, 2)} m`;
  const inches = Math.round(metres / 0.0254);
  return `${Math.floor(inches / 12)} ft ${inches % 12 ? `${inches % 12} in` : ""}`.trim();
}

export function degrees(celsius) { return inFeet ? `${number(celsius * 1.8 + 32)} °F` : `${number(celsius, Number.isInteger(celsius) ? 0 : 1)} °C`; }

export function mass(kilograms) { return inFeet ? `${number(kilograms / 0.45359237)} lb` : `${number(kilograms)} kg`; }
