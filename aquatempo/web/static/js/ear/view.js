// The part Ear: a song, its count as one hears it, and putting right what was heard wrong.

import { post } from "/static/js/api.js";
import { clear, el, text } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { hear } from "/static/js/news.js";
import { settings, whenSettingsChange } from "/static/js/settings.js";
import { goTo, say, sayWrong } from "/static/js/shell.js";
import { clock, number, t, tempo } from "/static/js/words.js";
import { offOne } from "/static/js/ear/grid.js";
import { Lanes } from "/static/js/ear/lanes.js";
import { EarModel } from "/static/js/ear/model.js";
import { openPick } from "/static/js/ear/pick.js";
import { Player, strengthsOf } from "/static/js/ear/player.js";
import { makeControls } from "/static/js/ear/controls.js";
import { makeSteps } from "/static/js/ear/steps.js";
import { makeTools } from "/static/js/ear/tools.js";

const SAME_BEAT = 0.01;           // of a beat: samples and times are rounded

export let here = null;           // the open ear, for what measures it

export function openEar(place, id) {
  if (!id) return openPick(place);
  const model = new EarModel(id, { changed: () => renew(), conflict: () => say(t("frame.elsewhere"), true), failed: sayWrong });
  let player = null, frame = 0, clicks = true, looping = false;
  const lanes = new Lanes(model, {
    moved: (beat) => moveTo(beat),
    shift: (beats) => model.change("count one", { beats }),
    start: (index, counts) => dragStart(index, counts),
    key: (event) => keys(event),
    drawn: () => showPlace(),
  });
  const actions = {
    play: () => player?.toggle(), back: () => byPhrase(-1), forward: () => byPhrase(1),
    clicks: () => { clicks = !clicks; levels(); controls.show(state()); },
    slow: () => { player?.setSpeed(player.speed === 1 ? 0.5 : 1); controls.show(state()); },
    loop: () => { looping = !looping; setLoop(); controls.show(state()); },
    half: () => model.change("half"), double: () => model.change("double"),
    tapped: (bpm) => model.change("tapped", { tempo_bpm: bpm }),
    undo: () => model.undo(), redo: () => model.redo(),
    one: onceThrough(() => oneHere()),
    phrase: onceThrough(() => model.change("phrase start", { time_s: model.grid.timeOf(lanes.cursor) })),
    bridge: onceThrough((counts) => model.change("bridge", { time_s: model.grid.timeOf(lanes.cursor), counts })),
    remove: onceThrough(() => removeStart()),
    confirm: () => model.change("confirm"),
    levelHere: onceThrough((kind) => model.change(kind, { from_s: hereTime() })),
    oneFromHere: onceThrough(() => model.change("count one", { time_s: hereTime(), from_s: hereTime() })),
    noBeat: onceThrough((from, to) => model.change("no beat", { time_s: from, to_s: to })),
    here: () => hereTime(),
    step: (by) => moveTo(lanes.cursor + by),
    takeBack: (step) => model.change("take back", { step }), forget: () => model.change("forget"),
  };
  const controls = makeControls(actions), tools = makeTools(actions), steps = makeSteps(actions);
  const title = el("h1", {}), file = el("p", { class: "quiet small ear-file" });
  const waiting = el("p", { class: "ear-waiting", role: "status" }, t("ear.listening"));
  const body = el("div", { class: "ear-body", hidden: true },
    el("div", { class: "ear-side" }, controls.element, steps.element),
    el("div", { class: "ear-song" }, lanes.element, tools.element));
  place.append(el("section", { class: "ear", onkeydown: (event) => { if (wholeKeys(event)) event.preventDefault(); } },
    el("header", { class: "part-head ear-head" },
      el("button", { class: "plain square", "aria-label": t("ear.to_music"), onclick: () => goTo("music") }, icon("left")),
      el("div", { class: "ear-title" }, title, file), el("button", { class: "plain", "aria-label": t("ear.to_water"), onclick: () => goTo("water", id) }, icon("water"), el("span", { class: "wide-only" }, t("ear.to_water"))), controls.undo),
    waiting, body));

  const stops = [
    hear("track", ({ about, revision }) => { if (about === id) model.heardOf(revision); }),
    whenSettingsChange((_, changed) => { if (changed.includes("theme") || changed.includes("type_size")) lanes.redraw(); levels(); }),
  ];
  const scheme = matchMedia("(prefers-color-scheme: dark)");
  scheme.addEventListener("change", lanes.redraw);
  model.load().catch((error) => { text(waiting, error.message || t("frame.gone")); });
  here = { model, lanes, actions, get player() { return player; } };

  function renew() {
    const { track } = model, fresh = body.hidden;
    waiting.hidden = true;
    body.hidden = false;
    text(title, track.title);
    text(file, track.file);
    if (!player && track.can_play) {
      player = new Player({ id, duration_s: track.analysis.duration_s }, { changed: () => { controls.show(state()); run(); }, failed: sayWrong });
      levels();
    }
    player?.setBeats(track.analysis.beats_s, strengthsOf(track.analysis));
    lanes.redraw();
    if (looping) setLoop();
    controls.show(state());
    steps.show(track);
    if (fresh) player?.seek(model.grid.timeOf(0));
  }

  function state() {
    return { track: model.track, playing: Boolean(player?.playing), clicks, looping, slow: player?.speed === 0.5, canPlay: Boolean(player) };
  }

  function levels() {
    if (!player) return;
    player.delay_s = settings.delay_ms / 1000;
    player.setLevels(settings.song_level, clicks ? settings.click_level : 0);
  }

  function run() {
    if (!frame && player?.playing) frame = requestAnimationFrame(tick);
  }

  function tick() {
    frame = 0;
    showNow();
    run();
  }

  function showNow() {
    const time = player ? player.place() : 0;
    const beat = Math.floor(model.grid.beatOf(time) + SAME_BEAT);
    controls.count(beat >= 0 ? model.grid.at(beat) : null, time, model.track.analysis.duration_s, Boolean(player?.waiting));
    lanes.showHead(time, player?.playing);
  }

  function showPlace() {
    if (!player?.playing) showNow();
    tools.show(model.grid.at(lanes.cursor), lanes);
  }

  function moveTo(beat) {
    lanes.setCursor(beat);
    player?.seek(model.grid.timeOf(lanes.cursor));
    if (looping) setLoop();
    showPlace();
  }

  function byPhrase(step) {
    const { grid } = model;
    const beat = Math.floor(grid.beatOf(player ? player.place() : grid.timeOf(lanes.cursor)) + 0.05);
    const at = grid.at(Math.max(beat, 0));
    let index = at ? at.index : step > 0 ? -1 : grid.phrases.length;
    // The first press back goes to the start of the phrase that is under way.
    if (step < 0 && at && at.inPhrase > 4) index += 1;
    const target = grid.phrases[Math.min(Math.max(index + step, 0), grid.phrases.length - 1)];
    if (target) moveTo(target.start_beat);
  }

  function setLoop() {
    const at = looping ? model.grid.at(lanes.cursor) : null;
    lanes.setLoop(at ? at.index : -1);
    const first = at?.phrase.start_beat;
    player?.setLoop(at ? [model.grid.timeOf(first), model.grid.timeOf(first + at.phrase.counts)] : null);
  }

  function dragStart(index, counts) {
    const { grid } = model, from = grid.phrases[index].start_beat;
    model.change("move start", { time_s: grid.timeOf(from), to_s: grid.timeOf(from + counts) });
  }

  // What is said of the marked count is said of what holds once earlier changes are through.
  function onceThrough(act) { return (...given) => model.busy.then(() => act(...given)); }

  function oneHere() {
    const at = model.grid.at(lanes.cursor);
    if (!at) return;
    const beats = offOne(at.count);
    if (beats) model.change("count one", { beats }); else say(t("ear.is_one"));
  }

  function hereTime() { return model.grid.timeOf(lanes.cursor); }

  function removeStart() {
    const at = model.grid.at(lanes.cursor);
    if (at) model.change("no start", { time_s: model.grid.timeOf(at.phrase.start_beat) });
  }

  // Keys while the lanes have the focus.
  function keys(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return false;
    const perLane = lanes.perLane || 32;
    const act = {
      ArrowRight: () => moveTo(lanes.cursor + (event.shiftKey ? 8 : 1)), ArrowLeft: () => moveTo(lanes.cursor - (event.shiftKey ? 8 : 1)),
      ArrowDown: () => moveTo(lanes.cursor + perLane), ArrowUp: () => moveTo(lanes.cursor - perLane),
      PageDown: () => byPhrase(1), PageUp: () => byPhrase(-1), Home: () => moveTo(0), End: () => moveTo(model.grid.beats.length - 1),
      " ": actions.play, Enter: actions.play, 1: actions.one, p: actions.phrase, b: () => actions.bridge(tools.counts()),
      Delete: actions.remove, Backspace: actions.remove, h: actions.half, d: actions.double, l: actions.loop, c: actions.clicks, s: actions.slow, t: controls.tap,
    }[event.key];
    if (!act) return false;
    act();
    return true;
  }

  // Keys anywhere in the part.
  function wholeKeys(event) {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return false;
    const name = event.key.toLowerCase();
    if (name === "z" && !event.shiftKey) actions.undo();
    else if (name === "y" || (name === "z" && event.shiftKey)) actions.redo();
    else return false;
    return true;
  }

  return () => {
    stops.forEach((stop) => stop());
    scheme.removeEventListener("change", lanes.redraw);
    cancelAnimationFrame(frame);
    player?.close();
    lanes.close();
    here = null;
  };
}
