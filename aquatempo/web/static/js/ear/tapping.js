// Tap along: how fast the taps are, as the ear hears them, not as each one falls.

const LONGEST_GAP_S = 2.5, LEAST = 5;

export class Taps {
  constructor() { this.times = []; }

  // Add a tap [ms]; return the tempo [beats/min] once it says something, else null.
  add(time) {
    const last = this.times[this.times.length - 1];
    if (last !== undefined && (time - last) / 1000 > LONGEST_GAP_S) this.times = [];
    this.times.push(time);
    return this.tempo();
  }

  // Least squares over the number of the tap: early and late ones weigh alike.
  tempo() {
    const n = this.times.length;
    if (n < LEAST) return null;
    const middle = (n - 1) / 2, mean = this.times.reduce((sum, time) => sum + time, 0) / n;
    let above = 0, below = 0;
    this.times.forEach((time, i) => { above += (i - middle) * (time - mean); below += (i - middle) ** 2; });
    return 60000 / (above / below);
  }

  clear() { this.times = []; }
}
