"use strict";
// What the browser keeps for this page: settings, the place in the class, the chosen songs.

function remember(key, value) { try { localStorage.setItem("aquatempo-" + key, value); } catch (_) { /* private mode */ } }
function recall(key) { try { return localStorage.getItem("aquatempo-" + key); } catch (_) { return null; } }

class SongStore {
  constructor(book) { this.book = book; }

  open() {
    return new Promise((done, fail) => {
      const asked = indexedDB.open("aquatempo", 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore("songs");
      asked.onsuccess = () => done(asked.result);
      asked.onerror = () => fail(asked.error);
    });
  }

  // Run work on the store of songs; return its result, or null where the browser keeps nothing.
  async with(mode, work) {
    try {
      const kept = await this.open();
      const change = kept.transaction("songs", mode);
      const result = work(change.objectStore("songs"));
      await new Promise((done, fail) => { change.oncomplete = done; change.onerror = change.onabort = fail; });
      kept.close();
      return result && "result" in result ? result.result : null;
    } catch (_) { return null; }
  }

  // Keep the songs of this class only: those of the last one go.
  async keep(place, file, found) {
    const keys = await this.with("readonly", (songs) => songs.getAllKeys()) || [];
    await this.with("readwrite", (songs) => {
      for (const key of keys) if (!key.startsWith(this.book + "/")) songs.delete(key);
      songs.put({ file, found }, `${this.book}/${place}`);
    });
  }

  // Return the songs kept for this class: [place, { file, found }].
  async all() {
    const keys = await this.with("readonly", (songs) => songs.getAllKeys()) || [];
    const mine = keys.filter((key) => key.startsWith(this.book + "/"));
    const found = [];
    for (const key of mine) {
      const value = await this.with("readonly", (songs) => songs.get(key));
      if (value && value.file) found.push([key.slice(this.book.length + 1), value]);
    }
    return found;
  }

  forget() { return this.with("readwrite", (songs) => songs.clear()); }
}
