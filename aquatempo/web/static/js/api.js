// Ask this machine: JSON in, JSON out. An answer that is no success is thrown, with its words.

import { language } from "/static/js/words.js";

export class Refused extends Error {
  constructor(status, kind, message) { super(message); this.status = status; this.kind = kind; }
}

export const get = (path, query = {}) => ask("GET", path + queryText(query));
export const post = (path, body) => ask("POST", path, body);
export const put = (path, body) => ask("PUT", path, body);

// For what is asked again and again: an answer that a later question overtook is null.
export function newest() {
  let asked = 0;
  return async (answer) => {
    const mine = ++asked, got = await answer;
    return mine === asked ? got : null;
  };
}

export async function bytes(path, query = {}, signal) {
  const answer = await fetch(path + queryText(query), { signal });
  if (!answer.ok) throw await refusal(answer);
  return answer.arrayBuffer();
}

// Send a file; told(share) hears how much of it has gone. fetch does not tell, so the older way.
export function send(path, file, told) {
  return new Promise((done, fail) => {
    const request = new XMLHttpRequest();
    request.open("POST", path);
    request.setRequestHeader("accept-language", language);
    request.upload.onprogress = (event) => told(event.loaded / Math.max(event.total, 1));
    request.onload = () => {
      const answer = parsed(request.responseText);
      if (request.status === 200) done(answer);
      else fail(new Refused(request.status, answer.kind || "", answer.error || request.responseText.trim()));
    };
    request.onerror = () => fail(new Refused(0, "gone", ""));
    request.send(file);
  });
}

async function ask(method, path, body) {
  const options = { method, headers: { "accept-language": language } };
  if (method !== "GET") {
    options.headers["content-type"] = "application/json";
    options.body = JSON.stringify(body === undefined ? {} : body);
  }
  let answer;
  try { answer = await fetch(path, options); } catch { throw new Refused(0, "gone", ""); }
  if (!answer.ok) throw await refusal(answer);
  return answer.json();
}

async function refusal(answer) {
  const said = await answer.text();
  const data = parsed(said);
  return new Refused(answer.status, data.kind || "", data.error || said.trim());
}

function parsed(said) { try { return JSON.parse(said); } catch { return {}; } }

function queryText(query) {
  const given = Object.entries(query).filter(([, value]) => value !== "" && value !== null && value !== undefined);
  return given.length ? "?" + new URLSearchParams(given) : "";
}
