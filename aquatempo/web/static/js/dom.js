// Make elements. Text is always text: nothing here, or anywhere, takes markup from a string.

const SVG = "http://www.w3.org/2000/svg";

// el("button", { class: "plain", onclick: go, "aria-label": "Go" }, "Go", icon)
export function el(name, attributes = {}, ...children) {
  return filled(document.createElement(name), attributes, children);
}

export function svg(name, attributes = {}, ...children) {
  return filled(document.createElementNS(SVG, name), attributes, children);
}

function filled(element, attributes, children) {
  for (const [key, value] of Object.entries(attributes)) set(element, key, value);
  element.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

export function set(element, key, value) {
  if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
  else if (key === "style") for (const [name, to] of Object.entries(value)) element.style.setProperty(name, to);
  else if (key === "dataset") Object.assign(element.dataset, value);
  else if (value === true) element.setAttribute(key, "");
  else if (value === false || value === null || value === undefined) element.removeAttribute(key);
  else element.setAttribute(key, value);
}

// Write text only where it differs, so that screen readers and layout are left alone.
export function text(element, value) {
  if (element.textContent !== value) element.textContent = value;
}

export function clear(element) { element.replaceChildren(); }

// Call at most once a frame, with the newest arguments.
export function eachFrame(act) {
  let waiting = 0, newest = [];
  return (...given) => {
    newest = given;
    if (!waiting) waiting = requestAnimationFrame(() => { waiting = 0; act(...newest); });
  };
}

// Call once things have been quiet for a while [ms].
export function whenQuiet(act, quiet) {
  let timer = 0;
  return (...given) => { clearTimeout(timer); timer = setTimeout(() => act(...given), quiet); };
}
