// Times and counts of a track, and how it lies in lanes. No drawing here.

export const EIGHT = 8, WHOLE = 32;

export class Grid {
  constructor(analysis) {
    this.analysis = analysis;
    this.beats = analysis.beats_s;
    this.inferred = analysis.beats_inferred;
    this.phrases = analysis.phrases;
    this.period = this.beats.length > 1 ? (this.beats[this.beats.length - 1] - this.beats[0]) / (this.beats.length - 1) : 0.5;
    let number = 0;
    this.numbers = this.phrases.map((phrase) => phrase.kind === "phrase" ? ++number : 0);
    this.starts = this.phrases.map((phrase) => phrase.start_beat);
  }

  // The time of a beat; between two it runs evenly, beyond the ends at their pace.
  timeOf(beat) {
    const { beats } = this, last = beats.length - 1;
    if (last < 0) return 0;
    if (beat <= 0) return beats[0] + beat * this.paceAt(0);
    if (beat >= last) return beats[last] + (beat - last) * this.paceAt(last - 1);
    const whole = Math.floor(beat);
    return beats[whole] + (beat - whole) * (beats[whole + 1] - beats[whole]);
  }

  // The beat at a time, as a share between two.
  beatOf(time) {
    const { beats } = this, last = beats.length - 1;
    const before = lastAtOrBefore(beats, time);
    if (before < 0) return (time - beats[0]) / this.paceAt(0);
    if (before >= last) return last + (time - beats[last]) / this.paceAt(last - 1);
    return before + (time - beats[before]) / (beats[before + 1] - beats[before]);
  }

  paceAt(beat) {
    const { beats } = this;
    return beats.length > 1 ? beats[beat + 1] - beats[beat] : this.period;
  }

  // Which phrase a beat lies in, and its counts: in the phrase from 1, in the eight from 1.
  at(beat) {
    const index = lastAtOrBefore(this.starts, beat);
    if (index < 0 || !this.beats.length) return null;
    const phrase = this.phrases[index], offset = beat - phrase.start_beat;
    if (offset >= phrase.counts) return null;
    return { index, phrase, number: this.numbers[index], inPhrase: offset + 1, count: offset % EIGHT + 1 };
  }

  // Rows of at most so many counts; a phrase always begins one.
  lanes(counts) {
    const lanes = [];
    this.phrases.forEach((phrase, index) => {
      for (let from = 0; from < phrase.counts; from += counts)
        lanes.push({ index, phrase, number: this.numbers[index], from: phrase.start_beat + from, offset: from, counts: Math.min(counts, phrase.counts - from) });
    });
    return lanes;
  }
}

// How many counts a beat is after the nearest count 1 of an eight, from -3 to 4.
export function offOne(count) { return count - 1 > EIGHT / 2 ? count - 1 - EIGHT : count - 1; }

export function lastAtOrBefore(values, value) {
  let low = 0, high = values.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (values[middle] <= value) low = middle + 1; else high = middle;
  }
  return low - 1;
}
