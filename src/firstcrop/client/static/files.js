// Files are the truth: a save goes over exactly what was last seen, or shows both texts. What is
// written and not saved is kept in this browser and offered back.

import { $, h, say } from "./dom.js";
import { notice, remember, unnotice } from "./frame.js";
import { get, put } from "./net.js";
import { desk, tell } from "./desk.js";
import { load, replaceAll, value } from "./editor.js";

const folder = document.body.dataset.folder;
const key = (name) => `firstcrop:${folder}:${name}`;
const path = (name) => `/api/sheets/${encodeURIComponent(name)}`;

function kept(name) {
  try { return JSON.parse(localStorage.getItem(key(name)) ?? "null"); } catch { return null; }
}

export function keep() {
  if (!desk.name) return;
  try {
    if (value() === desk.saved) localStorage.removeItem(key(desk.name));
    else localStorage.setItem(key(desk.name), JSON.stringify({ text: value(), seen: desk.seen, when: Date.now() }));
  } catch { tell("unkept"); }
  state();
}

// Left in good order: the writing is simply there again. After a crash it is offered.
const left = (name) => `left ${key(name)}`;

export function leave() {
  if (!desk.name) return;
  keep();
  try { sessionStorage.setItem(left(desk.name), "1"); } catch { /* then it is offered */ }
}

function cameBack(name) {
  try {
    const known = sessionStorage.getItem(left(name));
    sessionStorage.removeItem(left(name));
    return Boolean(known);
  } catch { return false; }
}

function forget(name) { try { localStorage.removeItem(key(name)); } catch { /* nothing kept */ } }

export function state(words) {
  const changed = value() !== desk.saved;
  $("state").textContent = words ?? (changed ? "not saved; kept in this browser" : desk.seen ? "saved" : "");
  $("save").disabled = !changed && Boolean(desk.seen);
}

export async function list() {
  document.title = `firstcrop: ${folder}`;
  const found = await get("/api/sheets").catch((error) => ({ sheets: [], error }));
  const items = found.sheets.map((s) => item(s.name, s.title));
  for (const name of draftsOnly(found.sheets)) items.push(item(name, "written here, never saved"));
  $("sheets").replaceChildren(...items);
  if (!items.length) $("sheets").append(h("li", { class: "quiet" }, found.error ? found.error.message : "No sheets here yet."));
}

function item(name, title) {
  return h("li", {}, h("a", { href: `#${encodeURIComponent(name)}` }, h("b", {}, title), h("span", {}, name)),
    kept(name) ? h("em", {}, "unsaved writing") : null);
}

function draftsOnly(sheets) {
  const names = new Set(sheets.map((s) => s.name));
  const start = key("");
  return Object.keys(localStorage).filter((k) => k.startsWith(start)).map((k) => k.slice(start.length)).filter((n) => !names.has(n));
}

// Open a sheet: from disk, else from what was kept here, else the demo of that name.
export async function open(name) {
  unnotice();
  let page;
  try {
    page = await get(path(name));
  } catch (error) {
    const draft = kept(name);
    if (error.status !== 404) { notice(h("p", {}, `${error.message}. ${error.hint ?? ""}`)); return false; }
    page = { name, text: "", seen: "" };
    if (!draft && name === "first-sheet.md") page = await get("/api/demo");
    else if (!draft) page.text = "# New sheet\n\n## Steps\n\n1. ";
  }
  desk.name = name;
  desk.seen = page.seen;
  desk.saved = page.seen ? page.text : "";
  load(page.text);
  remember(name);
  $("sheet-name").textContent = name;
  document.title = `${name}, firstcrop`;
  offerDraft(name, page);
  state();
  return true;
}

function offerDraft(name, page) {
  const draft = kept(name);
  const back = cameBack(name);
  if (!draft || draft.text === page.text) { if (draft) forget(name); return; }
  if (!page.seen || (back && draft.seen === page.seen)) { load(draft.text); return; }
  const when = new Date(draft.when).toLocaleString();
  const changed = draft.seen !== page.seen ? " The file has been changed since." : "";
  notice(h("p", {}, `Writing from ${when} was not saved and has been kept here.${changed}`),
    h("p", { class: "choices" },
      h("button", { type: "button", class: "strong", onclick: () => { unnotice(); replaceAll(draft.text); keep(); } }, "Take it up"),
      h("button", { type: "button", onclick: () => both(page.text, draft.text, "the file", "kept here") }, "Look at both"),
      h("button", { type: "button", onclick: () => { forget(name); unnotice(); state(); } }, "Throw it away")));
}

function both(one, other, oneName, otherName) {
  const [a, b] = [one.split("\n"), other.split("\n")];
  const [inA, inB] = [new Set(a), new Set(b)];
  const column = (lines, there, name) => h("section", { "aria-label": name }, h("h3", {}, name),
    h("pre", { tabindex: "0" }, ...lines.map((l) => h("span", { class: there.has(l) ? "" : "differs" }, `${there.has(l) ? "  " : "≠ "}${l}\n`))));
  document.querySelector(".both")?.remove();
  $("notice").insertBefore(h("div", { class: "both" }, column(a, inB, oneName), column(b, inA, otherName)), $("notice").querySelector(".close"));
}

export async function save() {
  if (!desk.name) return;
  const text = value();
  try {
    const done = await put(path(desk.name), { text, seen: desk.seen });
    desk.seen = done.seen;
    desk.saved = text;
    if (value() === text) forget(desk.name);
    unnotice();
    state();
    say("Saved");
  } catch (error) {
    if (error.status === 409) clash(error);
    else if (error.status === undefined) notice(h("p", {}, "The server does not answer. What you write is kept in this browser; start firstcrop again and save."));
    else notice(h("p", {}, `Not saved: ${error.message}. ${error.hint}`));
  }
}

function clash(error) {
  const there = error.body.there;
  const take = () => { desk.seen = there?.seen ?? ""; desk.saved = there?.text ?? ""; };
  notice(h("p", {}, h("strong", {}, "Not saved. "), `${error.message}. ${error.hint}.`),
    h("p", { class: "choices" },
      h("button", { type: "button", onclick: () => { take(); save(); } }, "Save mine over it"),
      there ? h("button", { type: "button", onclick: () => { take(); replaceAll(there.text); unnotice(); state(); } }, "Take the file's text (undo brings mine back)") : null));
  if (there) both(there.text, value(), "the file now", "on this page");
}

