// Completion: verbs where a sentence begins, units after a number, else the sheet's own names,
// then substances and phrases. Tab or Enter takes the one marked, Escape closes.

import { $, h } from "./dom.js";
import { get } from "./net.js";
import { desk } from "./desk.js";
import { replaceRange } from "./editor.js";

const MOST = 8;
const text = $("text");
const list = $("offers");
let words = null;
let offers = [];
let chosen = 0;
let from = 0;

export async function load() { words = await get("/api/words").catch(() => null); }

function own() {
  const lines = text.value.split("\n");
  const cells = lines.filter((l) => /^\|/.test(l) && !/^\|\s*-/.test(l)).map((l) => l.split("|")[1]?.trim());
  const vessels = lines.map((l) => /^- ([^:]+):/.exec(l)?.[1]).filter(Boolean);
  return [...new Set([...cells.filter((c) => c && c !== "name"), ...vessels])];
}

function context() {
  const before = text.value.slice(0, text.selectionStart);
  const line = before.slice(before.lastIndexOf("\n") + 1);
  const unit = /\d\s?([^\d\s.,;|]*)$/.exec(line);
  if (unit && !/^\d+\.?$/.test(line)) return { kind: "units", stem: unit[1] };
  const begin = /(?:^\d+\.\s+|[.;]\s+|\bthen\s+)([A-Za-z]*(?: [a-z]*)?)$/.exec(line);
  if (begin && /^\d+\./.test(line)) return { kind: "verbs", stem: begin[1] };
  if (/^\|/.test(line)) {
    const cell = line.split("|").length - 2;
    return { kind: cell === 1 ? "substances" : "none", stem: line.split("|").at(-1).trimStart() };
  }
  if (/^- [^:]+: /.test(line)) return { kind: "vessels", stem: line.split(": ").at(-1) };
  return { kind: "names", stem: /([\p{L}][\p{L}\d-]*)$/u.exec(line)?.[1] ?? "" };
}

function candidates({ kind, stem }) {
  if (!words || kind === "none") return [];
  const pools = {
    units: words.units, verbs: words.verbs, substances: words.substances, vessels: words.vessels,
    names: [...own(), ...words.phrases, ...words.substances],
  };
  const low = stem.toLowerCase();
  const found = pools[kind].filter((w) => w.toLowerCase().startsWith(low) && w.toLowerCase() !== low);
  return [...new Set(found)].slice(0, MOST).map((w) => capital(stem) && kind === "verbs" ? w[0].toUpperCase() + w.slice(1) : w);
}

const capital = (stem) => !stem || stem[0] !== stem[0].toLowerCase();

export function offer(asked = false) {
  const here = context();
  if (!asked && here.stem.length < (here.kind === "units" ? 1 : 2)) { close(); return; }
  offers = candidates(here);
  chosen = 0;
  from = text.selectionStart - here.stem.length;
  if (!offers.length) { close(); return; }
  show();
}

function show() {
  list.replaceChildren(...offers.map((w, i) => h("li", { role: "option", id: `offer-${i}`, "aria-selected": i === chosen,
    onpointerdown: (e) => { e.preventDefault(); chosen = i; take(); } }, w)));
  list.hidden = false;
  text.setAttribute("aria-controls", "offers");
  text.setAttribute("aria-activedescendant", `offer-${chosen}`);
  const [x, y] = caretSpot();
  list.style.left = `${Math.max(0, Math.min(x, text.clientWidth - 220))}px`;
  list.style.top = `${y}px`;
}

// Where the word begins, measured in the mirrored line.
function caretSpot() {
  const before = text.value.slice(0, from);
  const line = before.split("\n").length - 1;
  const row = $("mirror").children[line];
  const column = before.length - before.lastIndexOf("\n") - 1;
  const range = document.createRange();
  let left = column;
  const walker = document.createTreeWalker(row, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    if (left <= node.length) {
      range.setStart(node, left);
      range.setEnd(node, left);
      const spot = range.getBoundingClientRect();
      const base = $("mirror").getBoundingClientRect();
      return [spot.left - base.left, (spot.bottom || row.getBoundingClientRect().bottom) - base.top + 6];
    }
    left -= node.length;
  }
  return [0, row.offsetTop + row.offsetHeight];
}

export function close() {
  list.hidden = true;
  offers = [];
  text.removeAttribute("aria-activedescendant");
  text.removeAttribute("aria-controls");
}

function take() {
  const word = offers[chosen];
  close();
  replaceRange(from, text.selectionStart, word);
  close();
}

function move(by) {
  chosen = (chosen + by + offers.length) % offers.length;
  show();
}

export function start() {
  text.addEventListener("input", (event) => {
    if (event.inputType === "insertText" && event.data?.length === 1) offer();
    else close();
  });
  text.addEventListener("blur", close);
  text.addEventListener("click", close);
  text.addEventListener("keydown", (event) => {
    if (event.ctrlKey && event.code === "Space") { event.preventDefault(); offer(true); return; }
    if (list.hidden) return;
    const does = { ArrowDown: () => move(1), ArrowUp: () => move(-1), Escape: close, Tab: take, Enter: take }[event.key];
    if (!does || (event.key === "Enter" && desk.strictEnter)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    does();
  });
}
