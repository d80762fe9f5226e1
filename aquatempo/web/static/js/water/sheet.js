// A sheet over the page: something at length where there is no room beside.

import { el } from "/static/js/dom.js";
import { icon } from "/static/js/icons.js";
import { t } from "/static/js/words.js";

let open = null;

// fill(inside, close): put something into it.
export function openSheet(label, fill, className = "") {
  closeSheet();
  const before = document.activeElement;
  const inside = el("div", {});
  const dialog = el("dialog", { class: `sheet ${className}`, "aria-label": label },
    el("button", { class: "plain square sheet-close", "aria-label": t("frame.close"), onclick: () => dialog.close() }, icon("close")), inside);
  dialog.addEventListener("close", () => { dialog.remove(); if (open === dialog) open = null; before?.isConnected && before.focus(); });
  dialog.addEventListener("click", (event) => { if (event.target === dialog) dialog.close(); });
  document.body.append(dialog);
  open = dialog;
  dialog.showModal();
  fill(inside, () => dialog.close());
  return dialog;
}

export function closeSheet() { open?.close(); }
