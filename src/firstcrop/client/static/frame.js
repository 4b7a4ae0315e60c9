// What every page has: light or dark, one place for notices, and the way back to the last sheet.

import { $, h } from "./dom.js";

const LAST = "firstcrop-last-sheet";

export const dark = () => document.documentElement.dataset.theme === "dark"
  || (document.documentElement.dataset.theme !== "light" && matchMedia("(prefers-color-scheme: dark)").matches);

export function notice(...parts) {
  $("notice").replaceChildren(...parts, h("button", { type: "button", class: "close", "aria-label": "Close this notice", onclick: unnotice }, "×"));
  $("notice").hidden = false;
}

export function unnotice() { $("notice").hidden = true; $("notice").replaceChildren(); }

// The sheet the header's “Sheet” leads back to; "" for the list of them.
export function remember(name) {
  try { sessionStorage.setItem(LAST, name); } catch { /* then to the list */ }
}

function lastSheet() {
  try { return sessionStorage.getItem(LAST) ?? ""; } catch { return ""; }
}

function turnTheme() {
  const root = document.documentElement;
  root.dataset.theme = dark() ? "light" : "dark";
  try { localStorage.setItem("firstcrop-theme", root.dataset.theme); } catch { /* for this visit only */ }
  dispatchEvent(new Event("theme"));
}

function start() {
  $("theme").addEventListener("click", turnTheme);
  const back = document.querySelector(".parts a[href='/']");
  if (back && !back.hasAttribute("aria-current") && lastSheet()) back.href = `/#${encodeURIComponent(lastSheet())}`;
}

start();
