// How a person likes the page: kept on the machine, put in force here.

import { get, newest, put } from "/static/js/api.js";
import { hear } from "/static/js/news.js";
import { speak, useFeet } from "/static/js/words.js";

const SIZES = { usual: "100%", large: "118%", largest: "140%" };
const followers = new Set();
let languages = ["en"];
let mine = {}; // chosen here and not yet kept: news of what was kept before does not undo it
let last = Promise.resolve();
const latest = newest();
export let settings = {};
export let version = "";

export async function loadSettings() {
  const frame = await get("/api/frame");
  languages = frame.languages;
  version = frame.version;
  await apply(frame.settings);
}

export function knownLanguages() { return languages; }

// act(changed): what is in force, and the settings that changed.
export function whenSettingsChange(act) { followers.add(act); return () => followers.delete(act); }

export async function change(some) {
  mine = { ...mine, ...some };
  await apply({ ...settings, ...mine });
  const sent = last.catch(() => {}).then(() => put("/api/settings", { ...settings, ...mine }));
  last = sent;
  try { await sent; } finally { if (sent === last) mine = {}; }
}

async function apply(wanted) {
  const changed = Object.keys(wanted).filter((key) => wanted[key] !== settings[key]);
  if (!changed.length) return;
  const newLanguage = changed.includes("language");
  settings = wanted;
  if (newLanguage) await speak(settings.language, languages);
  useFeet(settings.units === "feet");
  const root = document.documentElement;
  root.dataset.theme = settings.theme;
  root.style.fontSize = SIZES[settings.type_size];
  for (const act of followers) act(settings, changed);
}

hear("settings", async () => {
  const frame = await latest(get("/api/frame"));
  if (frame) await apply({ ...frame.settings, ...mine });
});
