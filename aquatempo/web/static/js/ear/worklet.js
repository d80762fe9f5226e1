// Plays a song sample by sample, its clicks on top, round and round a loop if told. Because
// one count of samples drives all three, they cannot drift apart.

const CLICKS = [[1000, 0.5], [1500, 0.7], [2000, 1]];   // pitch [Hz] and level: beat, eight, phrase
const CLICK_S = 0.03, DECAY_S = 0.006;
const AHEAD = 4, KEPT = 40;                             // chunks asked for ahead, and held
const FADE_S = 0.003;                                   // where sound starts or jumps, against a crack

class SongPlayer extends AudioWorkletProcessor {
  constructor() {
    super();
    this.voices = CLICKS.map(([hertz, level]) => clickSound(hertz, level));
    this.clear();
    this.port.onmessage = ({ data }) => this[data.do](data);
  }

  clear() {
    this.chunks = new Map();
    this.asked = new Set();
    this.frame = 0;
    this.end = 0;
    this.size = 1;
    this.playing = this.starved = false;
    this.loop = null;
    this.clicks = new Float64Array(0);
    this.strengths = new Uint8Array(0);
    this.next = 0;                                      // the next click
    this.sounding = [];                                 // clicks that have begun
    this.song = this.song ?? 0.6;
    this.click = this.click ?? 0.8;
    this.fade = 0;
  }

  open({ end, size, frame }) { this.clear(); this.end = end; this.size = size; this.frame = frame; this.want(); }
  chunk({ index, samples }) {
    this.asked.delete(index);
    this.chunks.set(index, samples);
    if (this.chunks.size <= KEPT) return;
    const here = Math.floor(this.frame / this.size);
    const far = [...this.chunks.keys()].sort((a, b) => Math.abs(b - here) - Math.abs(a - here))[0];
    this.chunks.delete(far);
  }
  missed({ index }) { this.asked.delete(index); }
  play() { this.playing = true; this.fade = 0; this.tell(0); this.want(); }
  stop() { this.playing = false; this.sounding = []; this.tell(0); }
  seek({ frame }) { this.frame = frame; this.fade = 0; this.findClick(); this.tell(0); this.want(); }
  round({ loop }) { this.loop = loop; this.want(); }
  levels({ song, click }) { this.song = song; this.click = click; }
  beats({ frames, strengths }) { this.clicks = frames; this.strengths = strengths; this.findClick(); }

  findClick() {
    this.next = 0;
    while (this.next < this.clicks.length && this.clicks[this.next] < this.frame) this.next++;
  }

  // Say from which moment of the context on which frame is heard.
  tell(offset) {
    this.port.postMessage({ at: currentTime + offset / sampleRate, frame: this.frame, playing: this.playing && !this.starved });
  }

  want() {
    const here = Math.floor(this.frame / this.size);
    for (let index = here; index <= here + AHEAD; index++) this.ask(index);
    if (this.loop) for (let index = 0; index < 2; index++) this.ask(Math.floor(this.loop[0] / this.size) + index);
  }

  ask(index) {
    if (index * this.size >= this.end || this.chunks.has(index) || this.asked.has(index)) return;
    this.asked.add(index);
    this.port.postMessage({ want: index });
  }

  process(_, [output]) {
    const [left, right] = output;
    if (!this.playing) return true;
    const fade = 1 / (FADE_S * sampleRate);
    for (let i = 0; i < left.length; i++) {
      if (this.loop && this.frame >= this.loop[1]) this.jump(this.loop[0], i);
      if (this.frame >= this.end) { this.playing = false; this.tell(i); this.port.postMessage({ ended: true }); break; }
      const index = Math.floor(this.frame / this.size), chunk = this.chunks.get(index);
      if (!chunk) {
        if (!this.starved) { this.starved = true; this.fade = 0; this.tell(i); this.want(); }
        break;
      }
      if (this.starved) { this.starved = false; this.tell(i); }
      const at = 2 * (this.frame - index * this.size);
      this.fade = Math.min(1, this.fade + fade);
      const gain = this.song * this.fade / 32768;
      const click = this.clickSample();
      left[i] = chunk[at] * gain + click;
      right[i] = chunk[at + 1] * gain + click;
      this.frame++;
      if (this.frame % this.size === 0) this.want();
    }
    return true;
  }

  jump(frame, offset) { this.frame = frame; this.fade = 0; this.findClick(); this.want(); this.tell(offset); }

  clickSample() {
    if (this.next < this.clicks.length && this.frame >= this.clicks[this.next]) {
      if (this.click > 0) this.sounding.push({ sound: this.voices[this.strengths[this.next]], at: 0 });
      this.next++;
    }
    let value = 0;
    for (const one of this.sounding) value += one.sound[one.at++] * this.click;
    if (this.sounding.length && this.sounding[0].at >= this.sounding[0].sound.length) this.sounding.shift();
    return value;
  }
}

function clickSound(hertz, level) {
  const sound = new Float32Array(Math.round(CLICK_S * sampleRate));
  for (let i = 0; i < sound.length; i++) {
    const time = i / sampleRate;
    sound[i] = level * Math.cos(2 * Math.PI * hertz * time) * Math.exp(-time / DECAY_S);
  }
  return sound;
}

registerProcessor("song-player", SongPlayer);
