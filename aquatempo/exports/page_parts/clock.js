"use strict";
// Where in the track we are [s of the file], and how it is kept.
//
// With sound from this page the place is the sound's own: the media element's clock,
// carried between its ticks by the page's. Without it (another player, a drop-out) the
// page counts on alone from the last known place.

class TrackClock {
  constructor(song) {
    this.song = song;
    this.alone = true;      // counting without sound from this page
    this.running = false;
    this.rate = 1;          // seconds of the file a second
    this.delay = 0;         // the speakers' delay [s]: what is shown waits for it
    this.anchorTime = 0;    // place in the file [s] ...
    this.anchorNow = 0;     // ... at this reading of performance.now() [ms]
    this.seen = -1;         // last value read from the media element
  }

  // The place in the file [s] that the ear hears now.
  heard(now) { return this.place(now) - (this.alone ? 0 : this.delay * this.rate); }

  place(now) {
    if (!this.running) return this.alone ? this.anchorTime : this.song.currentTime;
    if (!this.alone) {
      const read = this.song.currentTime;
      const carried = this.anchorTime + (now - this.anchorNow) / 1000 * this.rate;
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
    return this.anchorTime + (now - this.anchorNow) / 1000 * this.rate;
  }

  set(time, now) {
    this.anchorTime = Math.max(0, time);
    this.anchorNow = now;
    this.seen = -1;
    if (!this.alone) this.song.currentTime = this.anchorTime;
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
    this.anchorTime = this.song.currentTime;
    this.anchorNow = now;
    this.seen = -1;
  }

  setRate(rate, now) {
    this.anchorTime = this.place(now);
    this.anchorNow = now;
    this.rate = rate;
    this.song.playbackRate = rate;
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
