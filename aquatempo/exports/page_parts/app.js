"use strict";
// Controls, files, keeping the screen awake. The page needs no network.

const book = JSON.parse(document.getElementById("data").textContent);
const words = book.words;
const byId = (id) => document.getElementById(id);
const song = byId("song");
const clock = new TrackClock(song);
const view = new View(words);
const STEP_S = 0.010;
let current = 0;
let sources = {};            // track number -> address of the chosen or embedded sound
let awake = null;

for (const track of book.tracks) {
  track.changeBeats = track.changes.map((change) => change.beat);
  track.phraseBeats = track.phrases.map((phrase) => phrase.start_beat);
  track.calls = track.calls.slice().sort((a, b) => a.time_s - b.time_s);
  track.callTimes = track.calls.map((call) => call.time_s);
}

function remember(key, value) { try { localStorage.setItem("aquatempo-" + key, value); } catch (_) { /* private mode */ } }
function recall(key) { try { return localStorage.getItem("aquatempo-" + key); } catch (_) { return null; } }
function say(text) { view.text("message", text); }
const track = () => book.tracks[current];

function openTrack(number) {
  pause();
  current = Math.min(Math.max(number, 0), book.tracks.length - 1);
  byId("track").value = String(current);
  clock.alone = true;
  clock.set(0, performance.now());
  if (sources[current]) {
    song.src = sources[current];
    clock.join(performance.now());
    clock.anchorTime = 0;
  } else song.removeAttribute("src");
  setSpeed(track().speed);
  const following = book.tracks[current + 1];
  view.open(track(), following ? `${current + 2}. ${following.title}` : words.end);
  view.text("source", sources[current] ? words.with_sound : words.no_sound);
  say("");
  draw();
}

async function play() {
  const now = performance.now();
  if (sources[current] && clock.alone) { song.currentTime = clock.place(now); clock.join(now); }
  if (!clock.alone) {
    try { await song.play(); } catch (error) { clock.leave(performance.now()); say(words.cannot_play); }
  }
  clock.start(performance.now());
  byId("play").textContent = "❚❚";
  byId("play").setAttribute("aria-pressed", "true");
  keepAwake();
}

function pause() {
  clock.stop(performance.now());
  song.pause();
  byId("play").textContent = "▶";
  byId("play").setAttribute("aria-pressed", "false");
}

function seek(time) { clock.set(Math.min(Math.max(time, 0), track().duration_s), performance.now()); draw(); }

function byPhrase(step) {
  const starts = track().phrases.map((phrase) => phrase.start_s);
  const time = clock.heard(performance.now());
  let index = lastAtOrBefore(starts, time + 0.02);
  // The first press back goes to the start of the phrase that is under way.
  if (step < 0 && index >= 0 && time - starts[index] > 2) index += 1;
  const target = starts[Math.min(Math.max(index + step, 0), starts.length - 1)];
  if (target !== undefined) seek(target + (clock.alone ? 0 : clock.delay * clock.rate));
}

function setDelay(seconds) {
  clock.delay = Math.min(Math.max(Math.round(seconds * 1000) / 1000, -0.5), 1.0);
  byId("delay").textContent = `${Math.round(clock.delay * 1000)} ms`;
  remember("delay", String(clock.delay));
}

// A nudge moves the shown count against what is heard: with sound from here it is the
// speakers' delay, otherwise the place itself.
function nudge(seconds) {
  if (clock.alone) {
    const now = performance.now();
    clock.set(clock.place(now) - seconds * clock.rate, now);
  } else setDelay(clock.delay + seconds);
}

// The person taps on a count 1: the nearest count 1 of an eight is now.
function tapOne() {
  const now = performance.now();
  const ones = [];
  for (const phrase of track().phrases)
    for (let beat = 0; beat < phrase.counts; beat += EIGHT) ones.push(track().beats_s[phrase.start_beat + beat]);
  const time = clock.heard(now);
  const known = ones.filter((one) => one !== undefined);
  if (!known.length) return;
  const nearest = known.reduce((best, one) => Math.abs(one - time) < Math.abs(best - time) ? one : best);
  if (clock.alone) {
    clock.set(nearest, now);
    if (!clock.running) play();
  } else setDelay((clock.place(now) - nearest) / clock.rate);
  draw();
}

function setSpeed(speed) {
  clock.setRate(speed, performance.now());
  byId("speed").value = String(Math.round(speed * 100));
  byId("percent").textContent = `${Math.round(speed * 100)} %`;
}

function setTheme(theme) {
  document.documentElement.dataset.theme = theme;
  remember("theme", theme);
}

function chooseFiles(files) {
  const left = [];
  for (const file of files) {
    const wanted = file.name.toLowerCase();
    const number = book.tracks.findIndex((one) => one.file_name.toLowerCase() === wanted);
    if (number >= 0) sources[number] = URL.createObjectURL(file); else left.push(file);
  }
  if (left.length) sources[current] = URL.createObjectURL(left[0]);
  openTrack(current);
}

async function keepAwake() {
  if (awake) return;
  try {
    awake = await navigator.wakeLock.request("screen");
    awake.addEventListener("release", () => { awake = null; });
  } catch (_) {
    awake = null;
    if (!document.hidden) say(words.dims); // no wake lock here: the device has to be told
  }
}

// A click and a flash each second: nudge until they fall together.
let toneTimer = 0, toneContext = null;
function toggleTone() {
  const on = !toneTimer;
  byId("tone").setAttribute("aria-pressed", String(on));
  if (!on) { clearInterval(toneTimer); toneTimer = 0; if (toneContext) toneContext.close(); toneContext = null; return; }
  toneContext = new (window.AudioContext || window.webkitAudioContext)();
  let at = toneContext.currentTime + 0.3;
  const beep = () => {
    const oscillator = toneContext.createOscillator(), gain = toneContext.createGain();
    oscillator.frequency.value = 1000;
    gain.gain.setValueAtTime(0.5, at);
    gain.gain.exponentialRampToValueAtTime(0.001, at + 0.06);
    oscillator.connect(gain).connect(toneContext.destination);
    oscillator.start(at);
    oscillator.stop(at + 0.07);
    const wait = (at - toneContext.currentTime + clock.delay) * 1000;
    setTimeout(() => { document.body.classList.add("flash"); setTimeout(() => document.body.classList.remove("flash"), 80); }, Math.max(0, wait));
    at += 1;
  };
  beep();
  toneTimer = setInterval(beep, 1000);
}

function draw() { view.draw(track(), clock.heard(performance.now())); }
function tick() {
  draw();
  if (clock.running && clock.alone && clock.place(performance.now()) > track().duration_s + 3) finish();
  requestAnimationFrame(tick);
}

function finish() {
  pause();
  if (current + 1 < book.tracks.length) { openTrack(current + 1); say(words.next_track); }
}

song.addEventListener("ended", finish);
song.addEventListener("error", () => { if (song.getAttribute("src")) { clock.leave(performance.now()); say(words.lost); } });
song.addEventListener("pause", () => { if (clock.running && !clock.alone && !song.ended) clock.leave(performance.now()); });
song.addEventListener("playing", () => { if (clock.running) { clock.join(performance.now()); say(""); } });
song.addEventListener("seeking", () => { clock.seen = -1; });
clock.onlost = () => say(words.lost);
addEventListener("resize", () => view.fit());
document.addEventListener("visibilitychange", () => { if (!document.hidden && clock.running) keepAwake(); });

byId("play").onclick = () => (clock.running ? pause() : play());
byId("back").onclick = () => byPhrase(-1);
byId("forward").onclick = () => byPhrase(1);
byId("earlier").onclick = () => nudge(-STEP_S);
byId("later").onclick = () => nudge(STEP_S);
byId("one").addEventListener("pointerdown", (event) => { event.preventDefault(); tapOne(); });
byId("one").addEventListener("click", (event) => { if (event.detail === 0) tapOne(); });
byId("tone").onclick = toggleTone;
byId("theme").onclick = () => setTheme(document.documentElement.dataset.theme === "dark" ? "day" : "dark");
byId("files").onchange = (event) => chooseFiles(event.target.files);
byId("speed").oninput = (event) => setSpeed(Number(event.target.value) / 100);
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
    "-": () => nudge(-STEP_S), "+": () => nudge(STEP_S), "1": tapOne,
    d: () => byId("theme").click(), PageDown: () => openTrack(current + 1), PageUp: () => openTrack(current - 1),
  };
  const action = actions[event.key];
  if (action) { event.preventDefault(); action(); }
});

book.tracks.forEach((one, number) => {
  const option = document.createElement("option");
  option.value = String(number);
  option.textContent = `${number + 1}. ${one.title}`;
  byId("track").append(option);
  if (one.sound) sources[number] = one.sound;
});
setTheme(recall("theme") || (matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "day"));
setDelay(Number(recall("delay")) || 0);
openTrack(0);
requestAnimationFrame(tick);
