// The page: which part is shown, the keys, and who starts whom.

import { $, h, say } from "./dom.js";
import { desk, on, tell } from "./desk.js";
import * as editor from "./editor.js";
import * as asking from "./asking.js";
import * as complete from "./complete.js";
import * as files from "./files.js";
import { notice, remember } from "./frame.js";
import * as lanes from "./lanes.js";
import * as side from "./side.js";
import * as turn from "./turn.js";

const TABS = ["write", "steps", "picture", "turn", "remarks"];
const narrow = matchMedia("(max-width: 899px)");

function show(tab) {
  const wanted = !narrow.matches && tab === "write" ? "steps" : tab;
  document.body.dataset.view = wanted;
  for (const name of TABS) {
    const on = name === wanted;
    $(`tab-${name}`).setAttribute("aria-selected", on);
    $(`tab-${name}`).tabIndex = on ? 0 : -1;
    if (name !== "write") $(name).hidden = !on;
  }
  tell("shown", wanted);
}

function tabKeys(event) {
  const by = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
  if (!by) return;
  const open = TABS.filter((t) => narrow.matches || t !== "write");
  const next = open[(open.indexOf(document.body.dataset.view) + by + open.length) % open.length];
  show(next);
  $(`tab-${next}`).focus();
}

async function route() {
  files.leave();
  const name = decodeURIComponent(location.hash.slice(1));
  const opened = name ? await files.open(name) : false;
  $("home").hidden = opened;
  $("desk").hidden = !opened;
  for (const id of ["undo", "redo", "save"]) $(id).hidden = !opened;
  if (!opened) { desk.name = ""; $("sheet-name").textContent = ""; $("state").textContent = ""; remember(""); files.list(); return; }
  desk.step = 0;
  document.body.dataset.shown = "earlier text";
  show(narrow.matches ? "write" : "steps");
  editor.mirrored();
  asking.refresh();
}

function keys(event) {
  const control = event.ctrlKey || event.metaKey;
  if (control && event.key.toLowerCase() === "s") { event.preventDefault(); files.save(); }
  else if (event.key === "F8") { event.preventDefault(); side.nextProblem(); }
  else if (event.altKey && event.key === "Enter") { event.preventDefault(); if (!editor.writeInHere()) say("No answers on this line."); }
  else if (event.altKey && /^[1-5]$/.test(event.key) && !$("desk").hidden) { event.preventDefault(); show(TABS[Number(event.key) - 1]); }
}

function newName() {
  const stamp = new Date().toISOString().slice(0, 10);
  location.hash = encodeURIComponent(`sheet-${stamp}-${String(Date.now()).slice(-4)}.md`);
}

function history(command) {
  $("text").focus();
  document.execCommand(command);
}

function start() {
  editor.start(); side.start(); lanes.start(); turn.start(); complete.start();
  for (const name of TABS) $(`tab-${name}`).addEventListener("click", () => show(name));
  document.querySelector(".tabs").addEventListener("keydown", tabKeys);
  addEventListener("keydown", keys);
  addEventListener("hashchange", route);
  addEventListener("pagehide", files.leave);
  narrow.addEventListener("change", () => show(document.body.dataset.view));
  $("open-demo").addEventListener("click", () => { location.hash = "first-sheet.md"; });
  $("new-sheet").addEventListener("click", newName);
  $("save").addEventListener("click", files.save);
  $("undo").addEventListener("click", () => history("undo"));
  $("redo").addEventListener("click", () => history("redo"));
  on("typed", (when) => { asking.typed(when); files.keep(); });
  on("looked", (open) => { if (open) show("steps"); });
  on("server", (answers) => document.body.classList.toggle("silent", !answers));
  on("server", (answers) => { if (!answers) files.state("the server does not answer; kept in this browser"); });
  on("refused", (error) => notice(h("p", {}, `${error.message}. ${error.hint}`)));
  on("unkept", () => files.state("not saved, and this browser keeps nothing"));
  on("caret", () => {
    const mark = side.remarkAtCaret(editor.caretLine(), columnOfCaret());
    if (mark) files.state(`${mark.kind}: ${mark.message}${mark.hint ? ` → ${mark.hint}` : ""}`);
    else files.state();
  });
  complete.load();
  route();
}

function columnOfCaret() {
  const text = $("text");
  return text.selectionStart - text.value.lastIndexOf("\n", text.selectionStart - 1) - 1;
}

start();
