"use strict";
// Which song a chosen file is: by what it sounds like, by its length, by its name.

const RATE_HZ = 11025;       // enough for two bands below 1.5 kHz; a song takes 30 MB while it is read
const BANDS_HZ = [150, 1500];
const SURE = 0.6, OTHER = 0.35; // correlation of outlines: the same recording, another one
const MOST_LAG_S = 5;
const LENGTH_S = 1.0, LENGTH_SHARE = 0.005; // lengths of one recording in two formats differ by less
const SHIFTED_S = 0.1;       // a copy that starts so much earlier or later is counted shifted

// Return the outline of samples: the level of each band, step [s] by step, differenced in time.
// The same as outline() of aquatempo/deck/song_outline.py.
function outlineOf(samples, rate, step) {
  const hop = rate * step, frames = Math.floor(samples.length / hop);
  const bands = BANDS_HZ.map(() => new Float32Array(frames));
  const keep = BANDS_HZ.map((hz) => Math.exp(-2 * Math.PI * hz / rate));
  const low = BANDS_HZ.map(() => 0);
  let at = 0;
  for (let frame = 0; frame < frames; frame++) {
    const end = Math.floor((frame + 1) * hop), count = end - at;
    const sum = BANDS_HZ.map(() => 0);
    for (; at < end; at++) {
      for (let k = 0; k < low.length; k++) low[k] = keep[k] * low[k] + (1 - keep[k]) * samples[at];
      const upper = low[1] - low[0];
      sum[0] += low[0] * low[0];
      sum[1] += upper * upper;
    }
    for (let k = 0; k < bands.length; k++) bands[k][frame] = Math.log10(sum[k] / count + 1e-9);
  }
  return bands.map((levels) => levels.map((level, n) => level - levels[Math.max(0, n - 1)]));
}

// Return the outline in the text that the page carries: a signed byte a step, band after band.
function outlineFrom(text) {
  const bytes = Int8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  const half = bytes.length / 2;
  return [bytes.subarray(0, half), bytes.subarray(half)];
}

// Return how alike two outlines are at the best lag: { alike: correlation, lag: in steps }.
function likeness(one, two, mostLag) {
  let best = { alike: -1, lag: 0 };
  for (let lag = -mostLag; lag <= mostLag; lag++) {
    let xy = 0, xx = 0, yy = 0;
    for (let k = 0; k < one.length; k++) {
      const a = one[k], b = two[k];
      const from = Math.max(0, -lag), to = Math.min(a.length, b.length - lag);
      for (let n = from; n < to; n++) {
        const x = a[n], y = b[n + lag];
        xy += x * y; xx += x * x; yy += y * y;
      }
    }
    const alike = xx && yy ? xy / Math.sqrt(xx * yy) : 0;
    if (alike > best.alike) best = { alike, lag };
  }
  return best;
}

function bareName(name) {
  const stem = name.normalize("NFC").toLowerCase().replace(/\.[a-z0-9]{2,5}$/, "");
  return stem.replace(/^\d{1,3}[\s._-]+/, "").replace(/[^\p{L}\p{N}]+/gu, " ").trim();
}

function sameName(file, track) {
  const name = bareName(file);
  return Boolean(name) && [bareName(track.file_name), bareName(track.title)].includes(name);
}

function sameLength(seconds, track) {
  const off = Math.abs(seconds - track.duration_s);
  return off <= Math.max(LENGTH_S, LENGTH_SHARE * track.duration_s);
}

// Return what a file is: { track, how, lag, alike }. how: "sound", "name" (and length), "length"
// (alone) where it is taken; "longer" or "other" where the name is right and the length or the
// sound is not; "none". heard: its outline, or null where it cannot be decoded.
function placeOf(name, seconds, heard, tracks, step) {
  const mostLag = Math.round(MOST_LAG_S / step);
  let best = null;
  if (heard) tracks.forEach((track, number) => {
    if (!track.heard) return;
    const found = likeness(track.heard, heard, mostLag);
    if (!best || found.alike > best.alike) best = { track: number, ...found };
  });
  if (best && best.alike >= SURE) return { how: "sound", track: best.track, lag: best.lag * step };
  const named = tracks.findIndex((track) => sameName(name, track));
  const sounds = (track) => !(heard && track.heard &&
    likeness(track.heard, heard, mostLag).alike < OTHER);
  if (named >= 0) {
    const track = tracks[named];
    if (seconds && !sameLength(seconds, track)) return { how: "longer", track: named, lag: 0 };
    return { how: sounds(track) ? "name" : "other", track: named, lag: 0 };
  }
  const long = tracks.map((_, number) => number)
    .filter((number) => seconds && sameLength(seconds, tracks[number]) && sounds(tracks[number]));
  if (long.length === 1) return { how: "length", track: long[0], lag: 0 };
  return { how: "none", track: -1, lag: 0 };
}

// Return the length of a file [s], 0 where this browser cannot tell.
function lengthOf(url) {
  return new Promise((done) => {
    const sound = new Audio();
    const end = (seconds) => { sound.removeAttribute("src"); done(seconds); };
    sound.preload = "metadata";
    sound.onloadedmetadata = () => end(Number.isFinite(sound.duration) ? sound.duration : 0);
    sound.onerror = () => end(0);
    setTimeout(() => done(0), 8000);
    sound.src = url;
  });
}

// Return the outline of a file, null where this browser cannot decode it.
async function outlineOfFile(file, step) {
  const Context = window.OfflineAudioContext || window.webkitOfflineAudioContext;
  if (!Context || !file.arrayBuffer) return null;
  for (const rate of [RATE_HZ, 44100]) {
    try {
      const context = new Context(1, 1, rate);
      const sound = await context.decodeAudioData(await file.arrayBuffer());
      const mono = sound.getChannelData(0).slice();
      for (let k = 1; k < sound.numberOfChannels; k++) {
        const other = sound.getChannelData(k);
        for (let n = 0; n < mono.length; n++) mono[n] += other[n];
      }
      if (sound.numberOfChannels > 1) for (let n = 0; n < mono.length; n++) mono[n] /= sound.numberOfChannels;
      return outlineOf(mono, sound.sampleRate, step);
    } catch (_) { /* a rate or a format that it does not have */ }
  }
  return null;
}
