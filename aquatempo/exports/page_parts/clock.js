"use strict";
// Where in the track we are [s of its file], and how it is kept.
//
// With sound from this page the place is the sound's own: the media element's clock,
// carried between its ticks by the page's. Without it (another player, a drop-out) the
// page counts on alone from the last known place.

// How the time of a sound that plays is the place in a track: place = (sound + shift) * scale.
// A file of its own: scale 1, shift 0, or how much earlier this copy starts. The class mix:
// where the track lies in it, at the speed that the mix was made with.
const OWN = { scale: 1, shift: 0 };

class TrackClock {
  constructor(song) {
    this.song = song;
    this.map = OWN;
    this.alone = true;      // counting without sound from this page
    this.running = false;
    this.rate = 1;          // seconds of the track's file a second
    this.delay = 0;         // the speakers' delay [s]: what is shown waits for it
    this.anchorTime = 0;    // place in the track [s] ...
    this.anchorNow = 0;     // ... at this reading of performance.now() [ms]
    this.seen = -1;         // last value read from the media element
    this.ahead = null;      // how far the wall clock is ahead of performance.now() [ms]
  }

  sounding() { return (this.song.currentTime + this.map.shift) * this.map.scale; }
  inSound(place) { return Math.max(0, place / this.map.scale - this.map.shift); }

  // The place [s] that the ear hears now.
  heard(now) { return this.place(now) - (this.alone ? 0 : this.delay * this.rate); }

  place(now) {
    if (!this.running) return this.alone ? this.anchorTime : this.sounding();
    const carried = this.anchorTime + (now - this.anchorNow) / 1000 * this.rate;
    if (this.alone) return carried;
    const read = this.sounding();
    if (read !== this.seen) {
      this.seen = read;
      // Small disagreement is the media clock's coarse tick; a large one is a seek.
      const error = read - carried;
      this.anchorTime = Math.abs(error) > 0.06 ? read : carried + error * 0.2;
      this.anchorNow = now;
      return this.anchorTime;
    }
    // A media clock that stands still for long is a drop-out: count on alone.
    if (now - this.anchorNow > 700) this.leave(now);
    return carried;
  }

  set(time, now) {
    this.anchorTime = Math.max(0, time);
    this.anchorNow = now;
    this.seen = -1;
    if (!this.alone) this.song.currentTime = this.inSound(this.anchorTime);
  }

  start(now) { this.anchorTime = this.place(now); this.anchorNow = now; this.running = true; }

  stop(now) { this.anchorTime = this.place(now); this.anchorNow = now; this.running = false; }

  // Go on without the sound, from where it was.
  leave(now) {
    if (this.alone) return;
    const place = this.anchorTime + (this.running ? (now - this.anchorNow) / 1000 * this.rate : 0);
    this.alone = true;
    this.set(place - this.delay * this.rate, now);
    if (this.onlost) this.onlost();
  }

  // Take the sound's clock again.
  join(now) {
    if (!this.alone) return;
    this.alone = false;
    this.anchorTime = this.sounding();
    this.anchorNow = now;
    this.seen = -1;
  }

  // Another track in the same sound: the place is read anew.
  remap(map, now) {
    this.map = map;
    this.anchorTime = this.sounding();
    this.anchorNow = now;
    this.seen = -1;
  }

  setRate(rate, now) {
    this.anchorTime = this.place(now);
    this.anchorNow = now;
    this.rate = rate;
    this.song.preservesPitch = this.song.webkitPreservesPitch = this.song.mozPreservesPitch = true;
    this.song.defaultPlaybackRate = this.song.playbackRate = rate / this.map.scale;
  }

  // A device that slept: performance.now() may have stood still, the wall clock did not. Count
  // on over the gap and return its length [s], 0 where there was none.
  slept(now, wall) {
    const ahead = wall - now;
    const gap = this.ahead === null ? 0 : ahead - this.ahead;
    this.ahead = ahead;
    if (gap < 1500) return 0;
    if (this.alone && this.running) this.anchorNow -= gap;
    return gap / 1000;
  }
}

// Index of the last element of ascending values that is <= value, or -1.
function lastAtOrBefore(values, value) {
  let low = 0, high = values.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (values[middle] <= value) low = middle + 1; else high = middle;
  }
  return low - 1;
}
