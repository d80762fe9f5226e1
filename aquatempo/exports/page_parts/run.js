"use strict";
// A class that runs on by itself: from a song's last planned phrase to the next song, after a gap.

const GAPS_S = [0, 2, 5, 10, 20, 30];
const RINGS_OUT_S = 10;      // a song that ends so soon after the plan does plays to its end
const FADE_S = 2;
const STILL_S = 3;           // counting alone, the next song is another player's: it gets a moment
let gap = 5;                 // seconds between songs, -1: wait for play
let waiting = 0;             // when the next song starts [performance.now()], 0 while none waits

function setGap(seconds) {
  gap = seconds;
  byId("gap").value = String(seconds);
  remember("gap", String(seconds));
}

function stopWaiting() {
  if (waiting) say("");
  waiting = 0;
}

// Look after the end of a song; called for each frame.
function runOn(now) {
  if (waiting) {
    const left = Math.ceil((waiting - now) / 1000);
    if (left > 0) say(told(words.next_in, { seconds: left }));
    else { const next = current + 1; stopWaiting(); openTrack(next); play(); }
    return;
  }
  if (!clock.running) return;
  const place = clock.place(now), end = track().end_s;
  if (mix) {
    const next = book.tracks[current + 1];
    if (!clock.alone && next && song.currentTime >= next.mix.at_s - 1e-3) nextInMix(now);
    else if (clock.alone && place > end + STILL_S) songEnded();
    return;
  }
  const rest = track().duration_s - end;
  if (clock.alone ? place > end + STILL_S : rest > RINGS_OUT_S && place > end + FADE_S * clock.rate) songEnded();
  else if (!clock.alone && rest > RINGS_OUT_S && place > end) song.volume = Math.max(0, 1 - (place - end) / FADE_S / clock.rate);
}

function nextInMix(now) {
  showTrack(current + 1);
  clock.remap(soundOf(current).map, now);
  clock.rate = track().speed * effort;
}

function songEnded() {
  const last = current + 1 >= book.tracks.length;
  const alone = clock.alone;
  pause();
  if (last) { song.volume = 1; say(words.class_ends); return; }
  if (gap < 0) { openTrack(current + 1); say(words.next_track); return; }
  // Counting alone, the next song comes from another player: count 1 is tapped.
  if (alone && !soundOf(current + 1)) { openTrack(current + 1); say(words.next_track); return; }
  waiting = performance.now() + 1000 * gap;
}
