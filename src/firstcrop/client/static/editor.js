// The text: a plain textarea over a mirror of the same lines, which carries the underlines and
// tells where on the page each line and each question mark stands.

import { $, count, h, rove, say } from "./dom.js";
import { desk, look, on, point, tell } from "./desk.js";
import { ledgerRow } from "./ledger.js";

const text = $("text");
const mirror = $("mirror");
const roving = [rove($("ledger"), ".figure"), rove($("gutter"), ".dot")];
const drawn = []; // what each mirrored line shows, as a key

export const value = () => text.value;

export function load(words) {
  text.value = words;
  drawn.length = 0;
  mirror.replaceChildren();
  mirrored();
}

export function caretLine() {
  return text.value.slice(0, text.selectionStart).split("\n").length;
}

function offsetOf(line, column) {
  const lines = text.value.split("\n");
  let at = 0;
  for (let i = 0; i < line - 1 && i < lines.length; i++) at += lines[i].length + 1;
  return at + column - 1;
}

// Replace `length` characters as if typed, so that the browser's undo takes it back.
export function replace(line, column, length, words) {
  const start = offsetOf(line, column);
  replaceRange(start, start + length, words);
}

export function replaceRange(start, end, words) {
  text.focus({ preventScroll: true });
  text.setSelectionRange(start, end);
  const done = words ? document.execCommand("insertText", false, words) : document.execCommand("delete");
  if (!done) {
    text.setRangeText(words, start, end, "end");
    text.dispatchEvent(new Event("input"));
  }
}

export function replaceAll(words) {
  if (words !== text.value) replaceRange(0, text.value.length, words);
}

export function goTo(line, column = 1, length = 0) {
  const at = offsetOf(line, column);
  text.focus({ preventScroll: true });
  text.setSelectionRange(at, at + length);
  mirror.children[line - 1]?.scrollIntoView({ block: "center" });
}

function marksOf(live) {
  const byLine = new Map();
  for (const mark of live?.marks ?? []) {
    byLine.set(mark.line, [...(byLine.get(mark.line) ?? []), mark]);
  }
  for (const f of live?.fillings ?? []) {
    byLine.set(f.line, [...(byLine.get(f.line) ?? []), { ...f, length: 1, kind: "blank" }]);
  }
  return byLine;
}

// A line cut at every edge of a mark: each piece carries the kinds of the marks over it.
function pieces(line, marks) {
  const edges = new Set([0, line.length]);
  for (const m of marks) {
    edges.add(Math.min(m.column - 1, line.length));
    edges.add(Math.min(m.column - 1 + m.length, line.length));
  }
  const cuts = [...edges].sort((a, b) => a - b);
  return cuts.slice(0, -1).map((from, i) => {
    const to = cuts[i + 1];
    const over = marks.filter((m) => m.column - 1 <= from && m.column - 1 + m.length >= to);
    const kinds = [...new Set(over.map((m) => m.kind))].join(" ");
    return kinds ? h("span", { class: kinds }, line.slice(from, to)) : line.slice(from, to);
  });
}

// Bring the mirror up to the text; only lines that changed are touched.
export function mirrored() {
  const lines = text.value.split("\n");
  const marks = desk.liveText === text.value ? marksOf(desk.live) : new Map();
  const fresh = desk.liveText === text.value;
  lines.forEach((line, i) => {
    const here = marks.get(i + 1) ?? [];
    const key = line + "\u0000" + here.map((m) => `${m.column},${m.length},${m.kind}`).join(";");
    if (drawn[i] === key) return;
    if (!fresh && drawn[i]?.startsWith(line + "\u0000")) return; // keep its marks till the next forecast
    drawn[i] = key;
    const row = h("div", {}, ...(line ? pieces(line, here) : ["\u200b"]));
    if (mirror.children[i]) mirror.children[i].replaceWith(row);
    else mirror.append(row);
  });
  while (mirror.children.length > lines.length) mirror.lastChild.remove();
  drawn.length = lines.length;
}

function stepLines() {
  const steps = desk.live?.report.steps ?? [];
  return steps.map((s, i) => ({ step: s, from: s.line, to: steps[i + 1]?.line ?? s.line + 1 }));
}

const made = new Map(); // what stands beside the text, by what it is: its key and element

// The element made last time if nothing about it changed.
function kept(id, key, make) {
  const known = made.get(id);
  if (known?.key === key) return known.element;
  const element = make();
  made.set(id, { key, element });
  return element;
}

function placed(element, top) {
  if (element.style.top !== `${top}px`) element.style.top = `${top}px`;
  return element;
}

// Children as wanted, touching only what differs: focus and hover stay where they are.
function become(parent, wanted) {
  wanted.forEach((child, i) => { if (parent.children[i] !== child) parent.insertBefore(child, parent.children[i] ?? null); });
  while (parent.children.length > wanted.length) parent.lastChild.remove();
}

// Rows of the ledger and marks of the gutter beside their lines.
export function aligned() {
  const ledger = [];
  const gutter = [];
  const tops = stepLines().map(({ step, from }) => [step, mirror.children[from - 1]?.offsetTop]);
  tops.forEach(([step, top], i) => {
    if (top === undefined) return;
    const roomy = (tops[i + 1]?.[1] ?? top + 60) - top >= 58;
    const level = desk.live.levels[i];
    const key = JSON.stringify([step, level, roomy]);
    ledger.push(placed(kept(`row ${i}`, key, () => ledgerRow(step, level, roomy)), top));
    gutter.push(placed(kept(`dot ${i}`, key, () => gutterMark(step)), top));
  });
  become($("ledger"), [summary(tops[0]?.[1] ?? 0), ...ledger]);
  become($("gutter"), gutter);
  roving.forEach((again) => again());
  lit();
}

// In the free space beside the title: what comes of it all.
function summary(room) {
  const report = desk.live?.report;
  const made = h("div", { class: "summary" });
  if (!report || room < 120) return made;
  const broken = report.steps.flatMap((s) => s.limits).filter((l) => !l.kept).length;
  const bad = report.problems.filter((p) => p.severity === "error").length;
  const shown = (n) => (n.band ? `${n.text} (${n.band})` : n.text);
  const line = (label, words, kind = "") => h("p", { class: kind }, h("span", {}, label), h("b", {}, words));
  if (report.refused) made.append(h("p", { class: "warn" }, report.refused));
  if (report.theory) made.append(line("theory", shown(report.theory)));
  for (const c of report.crops) made.append(line(`crop ${c.number}, dry`, shown(c.dry)));
  for (const b of report.blanks) made.append(line(`the ? of step ${b.step}`, b.answer));
  if (broken) made.append(line("✗", `${count(broken, "limit")} broken`, "warn"));
  if (bad) made.append(line("✗", `${count(bad, "error")} in the sheet`, "warn"));
  if (report.cautions.length) made.append(line("!", `${count(report.cautions.length, "caution")}, under Remarks`));
  return made;
}

function gutterMark(step) {
  const broken = step.limits.some((l) => !l.kept) || step.crowded;
  const doubtful = step.limits.some((l) => l.kept && !l.sure);
  const words = broken ? "limit broken" : doubtful ? "limit in doubt" : "no limit broken";
  return h("button", {
    type: "button", tabindex: -1, class: `dot ${broken ? "broken" : doubtful ? "doubtful" : "fine"}`,
    "data-step": step.number, "aria-label": `Step ${step.number}: ${words}; show it`,
    onclick: () => look(step.number),
  }, broken ? "✗" : doubtful ? "~" : "✓");
}

// Answers written above their question marks.
export function answers() {
  const made = [];
  for (const f of desk.live?.fillings ?? []) {
    const spot = mirror.children[f.line - 1]?.querySelector(".blank");
    if (!spot) continue;
    const row = mirror.children[f.line - 1];
    const all = row.querySelectorAll(".blank");
    const same = desk.live.fillings.filter((o) => o.line === f.line);
    const here = all[same.indexOf(f)] ?? spot;
    const button = h("button", {
      type: "button", class: "answer", title: `${f.bound}. Click to write it in.`,
      "aria-label": `Answer for step ${f.step}: ${f.answer}. ${f.bound}. Write it into the text`,
      onclick: () => writeIn([f]),
    }, f.answer);
    button.style.top = `${here.offsetTop}px`;
    const most = mirror.clientWidth - 8 * f.answer.length;
    button.style.left = `${Math.max(0, Math.min(here.offsetLeft - 3, most))}px`;
    made.push(button);
  }
  $("blanks").replaceChildren(...made);
}

// Put answers in place of their question marks; a unit already written after it is not repeated.
export function writeIn(fillings) {
  const lines = text.value.split("\n");
  for (const f of [...fillings].sort((a, b) => b.line - a.line || b.column - a.column)) {
    const after = lines[f.line - 1]?.slice(f.column) ?? "";
    const [number, ...rest] = f.answer.split(" ");
    const unit = rest.join(" ");
    if (lines[f.line - 1]?.[f.column - 1] !== "?") continue;
    if (number === "pH") {
      const before = lines[f.line - 1].slice(0, f.column - 1);
      replace(f.line, f.column, 1, before.endsWith("pH ") ? unit : f.answer);
      continue;
    }
    const stem = unit.replace(/s$/, "");
    replace(f.line, f.column, 1, unit && after.trimStart().startsWith(stem) ? number : f.answer);
  }
  say(`Written in: ${fillings.map((f) => f.answer).join(", ")}`);
}

export function writeInHere() {
  const line = caretLine();
  const here = (desk.live?.fillings ?? []).filter((f) => f.line === line);
  if (here.length) writeIn(here);
  return here.length > 0;
}

function stepAtLine(line) {
  const found = stepLines().filter((s) => s.from <= line).at(-1);
  if (!found) return 0;
  const between = text.value.split("\n").slice(found.from, line);
  return between.some((l) => l.startsWith("#")) ? 0 : found.step.number;
}

function lit() {
  const steps = stepLines();
  for (const row of document.querySelectorAll("#ledger .row, #gutter .dot")) {
    const step = Number(row.dataset.step);
    row.classList.toggle("lit", step === desk.pointed);
    row.classList.toggle("here", step === desk.step);
  }
  const at = steps.find((s) => s.step.number === desk.pointed);
  [...mirror.children].forEach((row, i) => {
    row.classList.toggle("lit", Boolean(at) && i + 1 >= at.from && i + 1 < Math.max(at.to, at.from + 1));
  });
}

function lineUnder(event) {
  const y = event.clientY - mirror.getBoundingClientRect().top;
  const rows = [...mirror.children];
  return rows.findIndex((row) => row.offsetTop <= y && y < row.offsetTop + row.offsetHeight) + 1;
}

function followCaret() {
  const step = stepAtLine(caretLine());
  if (step && step !== desk.step) look(step, "", false);
}

export function start() {
  text.addEventListener("input", (event) => { mirrored(); tell("typed", event.timeStamp); });
  text.addEventListener("keyup", followCaret);
  text.addEventListener("click", (event) => { followCaret(); tell("caret", lineUnder(event)); });
  text.addEventListener("pointermove", (event) => point(stepAtLine(lineUnder(event))));
  text.addEventListener("pointerleave", () => point(0));
  new ResizeObserver(() => { aligned(); answers(); }).observe(mirror);
  on("pointed", lit);
  on("looked", lit);
  on("live", () => { mirrored(); aligned(); answers(); });
}
