// Ways for music to come in: dropped, chosen, a folder that is pointed at, the samples.

import { get, post, send } from "/static/js/api.js";
import { clear, el, text } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { t } from "/static/js/words.js";
import { say, sayWrong } from "/static/js/shell.js";

const SUFFIXES = /\.(wav|flac|ogg|oga|opus|mp3|m4a|aac|mp4|aif|aiff|aifc|wma|webm|caf|au)$/i;
const ACCEPTED = "audio/*,.flac,.ogg,.opus,.m4a,.aif,.aiff,.wma,.caf";

export function addButtons() {
  const files = el("input", { type: "file", multiple: true, accept: ACCEPTED, class: "unseen", tabindex: "-1", "aria-hidden": "true", onchange: () => takeFiles([...files.files]) });
  return [
    el("button", { class: "main", onclick: openFolders }, icon("folder"), t("music.open_folder")),
    el("button", { onclick: () => files.click() }, icon("music"), t("music.choose_files")),
    files,
  ];
}

export async function openSamples() {
  try { told(await post("/api/music/samples")); } catch (error) { sayWrong(error); }
}

// Let songs be dropped anywhere on a place; it is marked while something hangs over it.
export function takeDrops(place) {
  let depth = 0;
  const mark = (by) => { depth = Math.max(0, depth + by); place.classList.toggle("dropping", depth > 0); };
  place.addEventListener("dragenter", (event) => { event.preventDefault(); mark(1); });
  place.addEventListener("dragleave", () => mark(-1));
  place.addEventListener("dragover", (event) => event.preventDefault());
  place.addEventListener("drop", async (event) => {
    event.preventDefault();
    mark(-depth);
    await takeFiles(await filesIn(event.dataTransfer));
  });
}

async function filesIn(transfer) {
  const entries = [...transfer.items].map((item) => item.webkitGetAsEntry?.()).filter(Boolean);
  if (!entries.length) return [...transfer.files];
  return (await Promise.all(entries.map(filesBelow))).flat();
}

async function filesBelow(entry) {
  if (entry.isFile) return [await new Promise((done, fail) => entry.file(done, fail))];
  const reader = entry.createReader(), found = [];
  for (;;) {                       // a reader gives a hundred at a time
    const some = await new Promise((done, fail) => reader.readEntries(done, fail));
    if (!some.length) break;
    found.push(...(await Promise.all(some.map(filesBelow))).flat());
  }
  return found;
}

async function takeFiles(given) {
  const songs = given.filter((file) => SUFFIXES.test(file.name) && !file.name.startsWith("."));
  if (!songs.length) { say(t("music.no_songs"), true); return; }
  const line = el("p", { class: "taking", role: "status" });
  document.querySelector(".hearing")?.before(line);
  let taken = 0;
  for (const file of songs) {
    text(line, t("music.dropping", { name: file.name }));
    try {
      await send(`/api/music/dropped?${new URLSearchParams({ name: file.name })}`, file, (share) => line.style.setProperty("--share", share));
      taken += 1;
    } catch (error) { sayWrong(error); }
  }
  line.remove();
  if (taken) say(t("music.dropped", { n: taken }));
}

export function openFolders() {
  const list = el("ul", { class: "folders" });
  const here = el("p", { class: "quiet small where" });
  const choose = el("button", { class: "main" });
  const up = el("button", { class: "plain" }, icon("up"), t("music.folders_up"));
  const dialog = el("dialog", { "aria-labelledby": "folders-head" },
    el("header", {}, el("h2", { id: "folders-head" }, t("music.folders")),
      el("button", { class: "plain square", "aria-label": t("frame.close"), onclick: () => dialog.close() }, icon("close"))),
    el("p", { class: "quiet" }, t("music.folders_text")),
    el("div", { class: "folder-bar" }, up, here), list, choose);
  dialog.addEventListener("close", () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();

  async function look(path) {
    let found;
    try { found = await get("/api/folders", { path }); } catch (error) {
      clear(list);                 // beside the list, for what is said elsewhere lies behind the dialog
      list.append(el("li", { class: "wrong-line", role: "alert" }, error.kind === "gone" ? t("frame.gone") : error.message || String(error)));
      return;
    }
    text(here, found.songs ? `${found.path} · ${t("music.folder_songs", { n: found.songs })}` : found.path);
    up.hidden = !found.path || found.above === found.path;
    up.onclick = () => look(found.above);
    choose.hidden = !found.path;
    choose.replaceChildren(icon("folder"), t("music.folders_here"));
    choose.onclick = () => open(found.path);
    clear(list);
    if (!found.folders.length) list.append(el("li", { class: "quiet" }, t(found.songs ? "music.folders_none" : "music.folders_empty")));
    for (const folder of found.folders)
      list.append(el("li", {}, el("button", { class: "plain", onclick: () => look(folder.path) },
        icon("folder"), el("span", { class: "folder-name" }, folder.name),
        folder.songs ? el("span", { class: "quiet small" }, t("music.folder_songs", { n: folder.songs })) : null)));
    (list.querySelector("button") || choose).focus();
  }

  async function open(path) {
    dialog.close();
    try { told(await post("/api/music/open", { path })); } catch (error) { sayWrong(error); }
  }
  look("");
}

function told(opened) { say(t("music.opened", { n: opened.new })); }
