"use strict";
// Buttons, keys, the lock against water, files, and what is restored when the page opens.

byId("play").onclick = () => (clock.running ? pause() : play());
byId("back").onclick = () => byPhrase(-1);
byId("forward").onclick = () => byPhrase(1);
byId("earlier").onclick = () => nudge(-STEP_S);
byId("later").onclick = () => nudge(STEP_S);
byId("one").addEventListener("pointerdown", (event) => { event.preventDefault(); tapOne(); });
byId("one").addEventListener("click", (event) => { if (event.detail === 0) tapOne(); });
byId("tone").onclick = toggleTone;
byId("theme").onclick = () => setTheme(document.documentElement.dataset.theme === "dark" ? "day" : "dark");
byId("drawn").onclick = () => showFigure(!view.figure.on);
byId("files").onchange = (event) => chooseFiles([...event.target.files]);
byId("forget").onclick = async () => { await kept.forget(); sources = {}; mix = ""; byId("found").replaceChildren(); openTrack(current); };
byId("speed").oninput = (event) => setSpeed(Number(event.target.value) / 100);
byId("gap").onchange = (event) => setGap(Number(event.target.value));
byId("track").onchange = (event) => openTrack(Number(event.target.value));
byId("more").onclick = () => {
  const panel = byId("panel");
  panel.hidden = !panel.hidden;
  byId("more").setAttribute("aria-expanded", String(!panel.hidden));
};
byId("strip").onclick = (event) => {
  const box = byId("strip").getBoundingClientRect();
  const total = track().phrases.reduce((sum, phrase) => sum + phrase.counts, 0);
  let counts = (event.clientX - box.left) / box.width * total;
  for (const phrase of track().phrases) {
    if (counts <= phrase.counts) { seek(phrase.start_s); return; }
    counts -= phrase.counts;
  }
};
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const tag = event.target.tagName;
  if (tag === "SELECT" || tag === "INPUT" || (tag === "BUTTON" && (event.key === " " || event.key === "Enter"))) return;
  const actions = {
    " ": () => (clock.running ? pause() : play()), ArrowLeft: () => byPhrase(-1), ArrowRight: () => byPhrase(1),
    "-": () => nudge(-STEP_S), "+": () => nudge(STEP_S), "1": tapOne, l: () => setLock(byId("shield").hidden),
    d: () => byId("theme").click(), PageDown: () => openTrack(current + 1), PageUp: () => openTrack(current - 1),
  };
  const action = actions[event.key];
  if (action) { event.preventDefault(); action(); }
});

// The lock: a sheet over the page takes every touch; a bar drawn across takes it away. Drops fall,
// they do not draw; a touch on the bar that does not start at its left end moves nothing.
function setLock(on) {
  const shield = byId("shield"), bar = byId("unlock");
  shield.hidden = !on;
  bar.value = "0";
  byId("lock").setAttribute("aria-pressed", String(on));
  if (on) { byId("panel").hidden = true; byId("more").setAttribute("aria-expanded", "false"); bar.focus(); }
}
let drawn = false;           // the touch on the bar began at its left end
byId("lock").onclick = () => setLock(true);
byId("unlock").addEventListener("pointerdown", (event) => {
  const box = event.target.getBoundingClientRect();
  drawn = event.clientX - box.left < box.width * 0.25;
});
byId("unlock").addEventListener("input", (event) => {
  const bar = event.target, byKey = !bar.matches(":active");
  if (!drawn && !byKey) bar.value = "0";
  else if (Number(bar.value) >= 95) setLock(false);
});
byId("unlock").addEventListener("change", (event) => { if (event.target.matches(":active") || drawn) event.target.value = "0"; drawn = false; });

// Files: each goes to the song that it is, whatever track is open; what does not fit is offered.
async function chooseFiles(files) {
  const list = byId("found");
  byId("panel").hidden = false;
  for (const file of files) {
    const row = document.createElement("li");
    row.textContent = `${file.name}: ${words.looking}`;
    list.prepend(row);
    await takeFile(file, row);
  }
}

async function takeFile(file, row) {
  const url = URL.createObjectURL(file);
  const seconds = await lengthOf(url);
  const total = book.tracks.length ? book.tracks[book.tracks.length - 1].mix.next_s : 0;
  if (book.tracks.length > 1 && seconds && Math.abs(seconds - total) < LENGTH_S + 2) {
    useMix(url, file, row);
    return;
  }
  const found = placeOf(file.name, seconds, await outlineOfFile(file, book.outline_step_s), book.tracks, book.outline_step_s);
  const one = book.tracks[found.track];
  const values = { file: file.name, length: clockText(seconds), number: found.track + 1,
                   title: one ? one.title : "", planned: one ? clockText(one.duration_s) : "" };
  if (["sound", "name", "length"].includes(found.how)) {
    useSong(found.track, url, found.lag);
    const late = Math.abs(found.lag) > SHIFTED_S ? " " + told(words.shifted, { seconds: found.lag.toFixed(1) }) : "";
    row.textContent = "✓ " + told(words["is_" + found.how], values) + late;
    kept.keep(found.track, file, { shift: sources[found.track].shift });
    return;
  }
  row.textContent = "? " + told(words["is_" + found.how], values);
  const target = found.track >= 0 ? found.track : current;
  const use = document.createElement("button");
  use.type = "button";
  use.textContent = told(words.use_anyway, { number: target + 1, title: book.tracks[target].title });
  use.onclick = () => {
    useSong(target, url, 0);
    kept.keep(target, file, { shift: 0 });
    row.textContent = "! " + told(words.used_anyway, { ...values, number: target + 1, title: book.tracks[target].title });
  };
  row.append(" ", use);
}

function useSong(number, url, lag) {
  sources[number] = { url, shift: Math.abs(lag) > SHIFTED_S ? -lag : 0 };
  mix = "";
  if (number === current && !clock.running) openTrack(current);
}

function useMix(url, file, row) {
  mix = url;
  if (row) row.textContent = "✓ " + told(words.is_mix, { file: file.name });
  if (row) kept.keep("mix", file, {});
  if (!clock.running) openTrack(current);
}

// What is restored: songs, and the place in the class where the page was thrown away.
const kept = new SongStore(book.id);
const AGAIN_S = 3 * 3600;
async function restore() {
  toKeptPlace();
  const songs = await kept.all();
  const here = clock.place(performance.now()), said = byId("message").textContent;
  for (const [place, value] of songs) {
    const url = URL.createObjectURL(value.file);
    if (place === "mix") useMix(url, value.file, null);
    else if (!sources[place]) sources[place] = { url, shift: value.found.shift || 0 };
  }
  if (!songs.length || clock.running) return;
  openTrack(current);
  if (here > 0) { seek(here); say(said); }
}
// The place waits for no song: those come in where one is.
function toKeptPlace() {
  let last = null;
  try { last = JSON.parse(recall("place-" + book.id)); } catch (_) { /* nothing kept */ }
  if (!last || Date.now() - last.wall >= AGAIN_S * 1000 || !book.tracks[last.track] || last.place <= 1) return;
  openTrack(last.track);
  seek(last.place);
  say(told(words.again_at, { time: clockText(last.place) }));
}
function keepPlace() {
  if (clock.running) remember("place-" + book.id, JSON.stringify({ track: current, place: clock.place(performance.now()), wall: Date.now() }));
}
setInterval(keepPlace, 2000);
addEventListener("pagehide", keepPlace);

book.tracks.forEach((one, number) => {
  const option = document.createElement("option");
  option.value = String(number);
  option.textContent = `${number + 1}. ${one.title}`;
  byId("track").append(option);
  if (one.sound) sources[number] = { url: one.sound, shift: 0 };
});
for (const seconds of [...GAPS_S, -1]) {
  const option = document.createElement("option");
  option.value = String(seconds);
  option.textContent = seconds < 0 ? words.gap_wait : told(words.gap_after, { seconds });
  byId("gap").append(option);
}
setTheme(recall("theme") || (matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "day"));
setDelay(Number(recall("delay")) || 0);
setGap(recall("gap") === null ? gap : Number(recall("gap")));
openTrack(0);
byId("drawn").hidden = !Object.keys(book.figures).length;
showFigure(recall("figure") !== "off");
restore();
requestAnimationFrame(tick);
if (document.querySelector('link[rel="manifest"]') && "serviceWorker" in navigator && location.protocol.startsWith("http"))
  navigator.serviceWorker.register("sw.js").catch(() => { /* not a secure address: it works as a page */ });
