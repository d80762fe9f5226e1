"use strict";
// The state of the page and its controls. The page needs no network.

const book = JSON.parse(document.getElementById("data").textContent);
const words = book.words;
const byId = (id) => document.getElementById(id);
const song = byId("song");
const clock = new TrackClock(song);
const view = new View(words, book.figures);
const STEP_S = 0.010;
let current = 0;
let sources = {};            // track number -> { url, shift } of the chosen or embedded sound
let mix = "";                // address of the class mix, where that is what plays
let effort = 1;              // the speed that one sets, on top of the plan's
let awake = null;

for (const track of book.tracks) {
  track.changeBeats = track.changes.map((change) => change.beat);
  track.phraseBeats = track.phrases.map((phrase) => phrase.start_beat);
  track.calls = track.calls.slice().sort((a, b) => a.time_s - b.time_s);
  track.callTimes = track.calls.map((call) => call.time_s);
  track.heard = track.outline ? outlineFrom(track.outline) : null;
}

function say(text) { view.text("message", text); }
const track = () => book.tracks[current];
const told = (text, values) => text.replace(/\{(\w+)\}/g, (all, key) => key in values ? values[key] : all);

// Return the sound of a track: { url, map }, or null.
function soundOf(number) {
  const one = book.tracks[number];
  if (mix) return { url: mix, map: { scale: one.speed, shift: one.mix.start_s - one.mix.at_s } };
  const own = sources[number];
  return own ? { url: own.url, map: { scale: 1, shift: own.shift } } : null;
}

function openTrack(number) {
  pause();
  showTrack(Math.min(Math.max(number, 0), book.tracks.length - 1));
  const now = performance.now(), sound = soundOf(current);
  clock.alone = true;
  clock.set(0, now);
  if (sound) {
    if (song.getAttribute("src") !== sound.url) song.src = sound.url;
    clock.alone = false;
    clock.remap(sound.map, now);
    clock.set(mix ? track().start_s : 0, now);
  } else {
    song.removeAttribute("src");
    clock.map = OWN;
  }
  setSpeed(effort);
  say("");
  draw();
}

// Show another track without touching the sound.
function showTrack(number) {
  current = number;
  byId("track").value = String(current);
  const following = book.tracks[current + 1];
  view.open(track(), following ? `${current + 2}. ${following.title}` : words.end);
  view.text("source", mix ? words.mix : sources[current] ? words.with_sound : words.no_sound);
  song.volume = 1;
  tellPlayer();
}

async function play() {
  const now = performance.now(), sound = soundOf(current);
  stopWaiting();
  if (sound && clock.alone) { song.currentTime = clock.inSound(clock.place(now)); clock.join(now); }
  if (!clock.alone) {
    setSpeed(effort);
    try { await song.play(); } catch (error) {
      if (error.name === "AbortError") return;
      clock.leave(performance.now());
      say(words.cannot_play);
    }
  }
  clock.start(performance.now());
  showPlaying(true);
  keepAwake();
}

function pause() {
  stopWaiting();
  clock.stop(performance.now());
  song.pause();
  showPlaying(false);
}

function showPlaying(on) {
  byId("play").firstElementChild.textContent = on ? "❚❚" : "▶";
  byId("play").lastElementChild.textContent = on ? words.pause_short : words.play_short;
  byId("play").setAttribute("aria-pressed", String(on));
}

function seek(time) { clock.set(Math.min(Math.max(time, 0), track().duration_s), performance.now()); song.volume = 1; draw(); }

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

// The plan's speed times one's own; the pitch is kept.
function setSpeed(own) {
  effort = own;
  clock.setRate(track().speed * effort, performance.now());
  byId("speed").value = String(Math.round(effort * 100));
  const percent = String(Math.round(track().speed * effort * 1000) / 10);
  byId("percent").textContent = `${percent.replace(".", words.decimal)} %`;
}

function setTheme(theme) {
  document.documentElement.dataset.theme = theme;
  remember("theme", theme);
}

function showFigure(on) {
  view.figure.on = on;
  byId("drawn").setAttribute("aria-pressed", String(on));
  remember("figure", on ? "on" : "off");
  draw();
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

// What the lock screen and media keys of a device show and do.
function tellPlayer() {
  if (!("mediaSession" in navigator) || !window.MediaMetadata) return;
  navigator.mediaSession.metadata = new MediaMetadata({ title: track().title, artist: book.title });
  const keys = { play, pause, nexttrack: () => openTrack(current + 1), previoustrack: () => openTrack(current - 1) };
  for (const [key, action] of Object.entries(keys))
    try { navigator.mediaSession.setActionHandler(key, action); } catch (_) { /* a key it does not know */ }
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
  const now = performance.now();
  if (clock.slept(now, Date.now())) woke();
  runOn(now);
  draw();
  requestAnimationFrame(tick);
}

function woke() {
  if (clock.running) { keepAwake(); if (clock.alone && soundOf(current)) say(words.slept); }
}

song.addEventListener("ended", () => songEnded());
song.addEventListener("error", () => { if (song.getAttribute("src")) { clock.leave(performance.now()); say(words.lost); } });
song.addEventListener("pause", () => { if (clock.running && !clock.alone && !song.ended) clock.leave(performance.now()); });
song.addEventListener("playing", () => { if (clock.running) { clock.join(performance.now()); say(""); } });
song.addEventListener("seeking", () => { clock.seen = -1; });
clock.onlost = () => say(words.lost);
addEventListener("resize", () => view.fit());
document.addEventListener("visibilitychange", () => { if (!document.hidden && clock.running) keepAwake(); });
