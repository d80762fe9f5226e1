// The song's sound: chunks fetched from the machine, played by the worklet, and where we are.

import { bytes } from "/static/js/api.js";

const RATE_HZ = 44100;
const CHUNK = 32768;              // frames
const BEAT = 0, EIGHT = 1, PHRASE = 2;

export class Player {
  // changed(): it started, stopped or ended by itself. failed(error).
  constructor(track, { changed, failed }) {
    this.track = track;           // { id, duration_s }
    this.changed = changed;
    this.failed = failed;
    this.speed = 1;
    this.playing = false;
    this.waiting = false;         // for samples
    this.anchors = [{ at: 0, frame: 0, playing: false }];
    this.loop = null;             // [from, to] in seconds of the song
    this.beats = { times: [], strengths: [] };
    this.levels = { song: 0.6, click: 0.8 };
    this.delay_s = 0;
    this.fetching = new AbortController();
  }

  async ready() {
    this.starting ??= this.start();
    return this.starting;
  }

  async start() {
    this.context = new AudioContext({ sampleRate: RATE_HZ, latencyHint: "interactive" });
    await this.context.audioWorklet.addModule("/static/js/ear/worklet.js");
    this.node = new AudioWorkletNode(this.context, "song-player", { numberOfInputs: 0, outputChannelCount: [2] });
    this.node.port.onmessage = ({ data }) => this.told(data);
    this.node.connect(this.context.destination);
    this.open(this.anchors[0].frame);
  }

  close() {
    this.fetching.abort();
    this.playing = false;
    this.context?.close();
  }

  // Where the ear is in the song now [s].
  place() {
    const now = this.context ? this.heardUntil() - this.delay_s : 0;
    while (this.anchors.length > 1 && this.anchors[1].at <= now) this.anchors.shift();
    const { at, frame, playing } = this.anchors[0];
    const frames = frame + (playing ? Math.max(0, now - at) * RATE_HZ : 0);
    return Math.min(frames / RATE_HZ * this.speed, this.track.duration_s);
  }

  // The moment of the context that leaves the speakers now [s].
  heardUntil() {
    const stamp = this.context.getOutputTimestamp?.();
    if (stamp && stamp.performanceTime > 0) return stamp.contextTime + (performance.now() - stamp.performanceTime) / 1000;
    return this.context.currentTime - (this.context.outputLatency || this.context.baseLatency || 0);
  }

  async play() {
    await this.ready();
    await this.context.resume();
    if (this.place() >= this.track.duration_s - 0.05) this.seek(this.loop ? this.loop[0] : 0);
    this.playing = true;
    this.post({ do: "play" });
    this.changed();
  }

  stop() {
    const place = this.place();
    this.playing = false;
    if (this.node) { this.post({ do: "stop" }); this.seek(place); }
    this.changed();
  }

  toggle() { return this.playing ? this.stop() : this.play(); }

  seek(time_s) {
    const frame = this.frameOf(Math.min(Math.max(time_s, 0), this.track.duration_s));
    if (!this.playing) this.anchors = [{ at: 0, frame, playing: false }];
    this.post({ do: "seek", frame });
  }

  setLoop(loop) {
    this.loop = loop;
    this.post({ do: "round", loop: loop && loop.map((time) => this.frameOf(time)) });
  }

  setSpeed(speed) {
    const place = this.place();
    const playing = this.playing;
    this.speed = speed;
    this.anchors = [{ at: 0, frame: this.frameOf(place), playing: false }];
    if (!this.node) return;
    this.open(this.frameOf(place));
    if (playing) this.post({ do: "play" });
  }

  setLevels(song, click) {
    this.levels = { song, click };
    this.post({ do: "levels", ...this.levels });
  }

  // times [s] and how strong: the first of a phrase, of an eight, or any other beat.
  setBeats(times, strengths) {
    this.beats = { times, strengths };
    this.post({ do: "beats", frames: Float64Array.from(times, (time) => this.frameOf(time)), strengths: Uint8Array.from(strengths) });
  }

  frameOf(time_s) { return Math.round(time_s * RATE_HZ / this.speed); }

  open(frame) {
    this.fetching.abort();
    this.fetching = new AbortController();
    this.post({ do: "open", end: Math.ceil(this.track.duration_s * RATE_HZ / this.speed), size: CHUNK, frame });
    this.setLevels(this.levels.song, this.levels.click);
    this.setBeats(this.beats.times, this.beats.strengths);
    this.setLoop(this.loop);
  }

  post(message) { this.node?.port.postMessage(message); }

  told(data) {
    if (data.want !== undefined) { this.fetch(data.want); return; }
    if (data.ended) { this.playing = false; this.changed(); return; }
    // What comes out of order in time overrules what was to be heard after it.
    this.anchors = this.anchors.filter((one) => one.at <= data.at);
    this.anchors.push(data);
    this.waiting = this.playing && !data.playing;
  }

  async fetch(index) {
    const { signal } = this.fetching;
    try {
      const query = { first: index * CHUNK, frames: CHUNK, speed: this.speed };
      const data = await bytes(`/api/tracks/${this.track.id}/sound`, query, signal);
      const samples = new Int16Array(2 * CHUNK);
      samples.set(new Int16Array(data));
      if (!signal.aborted) this.node.port.postMessage({ do: "chunk", index, samples }, [samples.buffer]);
    } catch (error) {
      if (signal.aborted) return;
      this.post({ do: "missed", index });
      if (this.playing) this.stop();
      this.failed(error);
    }
  }
}

// How strong the click of each beat is.
export function strengthsOf(analysis) {
  const strengths = new Array(analysis.beats_s.length).fill(BEAT);
  for (const phrase of analysis.phrases) {
    for (let beat = phrase.start_beat; beat < phrase.start_beat + phrase.counts; beat += 8)
      if (beat < strengths.length) strengths[beat] = EIGHT;
    if (phrase.kind === "phrase" && phrase.start_beat < strengths.length) strengths[phrase.start_beat] = PHRASE;
  }
  return strengths;
}
