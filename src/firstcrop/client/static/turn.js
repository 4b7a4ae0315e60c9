// What if: turn a written number and see what moves. The text stays as it is until accepted.

import { $, h, later, say, svg } from "./dom.js";
import { post } from "./net.js";
import { page } from "./asking.js";
import { desk, on } from "./desk.js";
import { replace, value } from "./editor.js";

const trialPage = `${page}-trial`;
let inputs = [];
let watched = ""; // the number whose band is watched
let chosen = null; // the input being turned
let now = 0;
let trial = null; // the rows of the turned text
let stop = null;
let asking = false;
let again = false;
let listed = "";

async function list() {
  if ($("turn").offsetParent === null || !desk.live) return;
  const key = JSON.stringify([desk.liveText, desk.live.bands]);
  if (key === listed || turning()) return;
  listed = key;
  const found = await post("/api/inputs", { text: desk.liveText }).catch(() => null);
  if (turning()) listed = "";
  if (!found || turning()) return;
  inputs = found.inputs;
  chosen = null;
  trial = null;
  panel();
}

// A number is held away from its text: nothing may take it out of the hand.
const turning = () => chosen !== null && desk.liveText === value();

const spreads = (live) => live?.spreads ?? [];

function watch() {
  const all = spreads(desk.live);
  return all.find((s) => s.name === watched) ?? all[0];
}

function shareOf(input, target) {
  return target?.shares.find((s) => s.label === input.label)?.share ?? 0;
}

function panel() {
  const target = watch();
  if (!inputs.length) { $("turn").replaceChildren(h("p", {}, "Write some numbers first; then they can be turned here.")); return; }
  const sorted = [...inputs].sort((a, b) => shareOf(b, target) - shareOf(a, target));
  const choose = h("select", { id: "watched", onchange: (e) => { watched = e.target.value; panel(); } },
    ...spreads(desk.live).map((s) => h("option", { value: s.name, selected: s.name === target?.name }, s.name)));
  $("turn").replaceChildren(h("h2", {}, "What if"),
    h("div", { class: "watching" },
      h("p", {}, h("label", { for: "watched" }, "Watch "), choose),
      h("div", { id: "gauge" }),
      h("div", { id: "accept", class: "accept" })),
    target?.shares.length ? h("details", {}, h("summary", {}, "What its spread is made of"),
      h("ol", { class: "shares" }, ...target.shares.map((s) => h("li", {}, h("meter", { min: 0, max: 1, value: s.share, "aria-label": s.label }),
        ` ${Math.round(100 * s.share)} % ${s.label} (${s.shifts})`)))) : h("p", { class: "quiet" }, "Sorted by share of the spread once the bands are there."),
    h("p", { class: "quiet", id: "turn-help" }, "Arrow keys turn, Enter writes the number into the text, Escape leaves it."),
    h("div", { class: "turns" }, ...sorted.map((i) => slider(i, shareOf(i, target)))));
  gauge();
}

function slider(input, share) {
  const id = `turn-${input.line}-${input.column}`;
  const words = chosen === input ? written(input, now) : original(input);
  const out = h("output", { for: id, "aria-live": "off" }, `${words} ${input.unit}`);
  const range = h("input", { type: "range", id, min: input.low, max: input.high, step: input.step, value: input.value,
    "aria-valuetext": `${words} ${input.unit}`, "aria-describedby": "turn-help",
    onkeydown: turnKeys,
    oninput: (e) => { turned(input, Number(e.target.value)); out.textContent = `${written(input, now)} ${input.unit}`;
      e.target.setAttribute("aria-valuetext", out.textContent); } });
  range.value = chosen === input ? now : input.value;
  return h("div", { class: "turnable" },
    h("label", { for: id }, `${input.where}: ${input.label}`, share ? h("small", {}, ` ${Math.round(100 * share)} % of the spread`) : null), range, out);
}

function turnKeys(event) {
  if (event.key === "Enter" && chosen) { event.preventDefault(); accept(); }
  if (event.key === "Escape" && chosen) { event.preventDefault(); event.stopPropagation(); back(); $(event.target.id)?.focus(); }
}

// As it stands in the text.
function original(input) {
  return desk.liveText.split("\n")[input.line - 1].slice(input.column - 1, input.column - 1 + input.length);
}

function written(input, number) {
  const digits = Math.max(0, Math.ceil(-Math.log10(input.step) - 1e-9));
  return number.toFixed(digits);
}

function turnedText() {
  const lines = desk.liveText.split("\n");
  const line = lines[chosen.line - 1];
  const from = chosen.column - 1;
  lines[chosen.line - 1] = line.slice(0, from) + written(chosen, now) + line.slice(from + chosen.length);
  return lines.join("\n");
}

function turned(input, number) {
  if (chosen && chosen !== input) {
    const other = $(`turn-${chosen.line}-${chosen.column}`);
    if (other) other.value = chosen.value;
  }
  chosen = input;
  now = number;
  stop?.abort();
  ask();
  bandsSoon();
}

async function ask() {
  if (asking) { again = true; return; }
  asking = true;
  const text = turnedText();
  trial = await post("/api/forecast", { text, page: trialPage }).catch(() => trial);
  asking = false;
  if (!chosen) trial = null;
  gauge();
  sayTurned();
  if (again && chosen) ask();
  again = false;
}

// Heard once the hand rests, not at every notch.
const sayTurned = later(600, () => {
  const found = spreads(trial).find((s) => s.name === watch()?.name);
  if (chosen && found) say(`${found.name}: ${found.shown}`);
});

const bandsSoon = later(500, async () => {
  if (!chosen) return;
  stop = new AbortController();
  const text = turnedText();
  const found = await post("/api/bands", { text, page: trialPage }, stop.signal).catch(() => null);
  if (found && chosen && text === turnedText()) { trial = found; gauge(); }
});

function gauge() {
  const as = watch();
  const turnedTo = spreads(trial).find((s) => s.name === as?.name);
  if (!$("gauge") || !as) return;
  const all = [as, turnedTo].filter(Boolean);
  const low = Math.min(...all.map((s) => s.low));
  const high = Math.max(...all.map((s) => s.high));
  const pad = 0.1 * (high - low) || 0.02 * Math.abs(high) || 1;
  const x = (v) => 4 + (292 * (v - low + pad)) / (high - low + 2 * pad);
  const bar = (s, y, kind, words) => svg("g", { class: kind },
    svg("text", { x: 4, y: y - 5 }, words),
    svg("rect", { x: x(s.low), y, width: Math.max(x(s.high) - x(s.low), 1), height: 12 }),
    svg("line", { x1: x(s.value), x2: x(s.value), y1: y - 3, y2: y + 15 }));
  const words = turnedTo ? `as written ${as.shown}; turned ${turnedTo.shown}` : `as written ${as.shown}`;
  $("gauge").replaceChildren(svg("svg", { viewBox: `0 0 300 ${turnedTo ? 76 : 36}`, class: "gauge", role: "img", "aria-label": words },
    bar(as, 19, "as", "as written"), turnedTo ? bar(turnedTo, 57, "turned", "turned") : ""),
    h("p", {}, "As written: ", h("b", {}, as.shown)),
    ...(turnedTo ? [h("p", { class: "turned-words" }, "Turned: ", h("b", {}, turnedTo.shown), trial.bands ? "" : " (band follows)")] : []),
    ...brokenIn(trial));
  $("accept").replaceChildren(...(chosen ? [
    h("button", { type: "button", class: "strong", onclick: accept }, `Write ${written(chosen, now)} into the text`),
    h("button", { type: "button", onclick: back }, "Leave the text as it is")] : []));
}

function brokenIn(live) {
  const found = (live?.report.steps ?? []).flatMap((s) => s.limits.filter((l) => !l.kept).map((l) => `✗ step ${s.number}, ${l.text}: ${l.verdict}`));
  return found.map((w) => h("p", { class: "warn" }, w));
}

function accept() {
  if (desk.liveText !== value()) { say("The text has changed; turn again."); return; }
  const [input, words] = [chosen, written(chosen, now)];
  chosen = null;
  replace(input.line, input.column, input.length, words);
  say(`Written: ${words} ${input.unit}`);
}

function back() {
  stop?.abort();
  chosen = null;
  trial = null;
  panel();
}

export function start() {
  const soon = later(250, list);
  on("drawn", () => { if (!turning()) soon(); });
  on("bands", () => { if (!turning()) soon(); });
  on("shown", list);
}
