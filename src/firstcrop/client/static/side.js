// Beside the sheet: a step in full with the working of its numbers, and all remarks.

import { $, h, say } from "./dom.js";
import { post } from "./net.js";
import { desk, look, on } from "./desk.js";
import { goTo, replace, value, writeIn } from "./editor.js";
import { vessel } from "./ledger.js";

let asked = 0;

const shown = (n) => (n.band ? `${n.text} (${n.band})` : n.text);

function fact(label, words, step, focus) {
  if (!words || words === "–") return null;
  const body = focus
    ? h("button", { type: "button", class: "figure", onclick: () => look(step, focus),
        "aria-label": `${label}: ${words}; how it came about` }, words)
    : words;
  return [h("dt", {}, label), h("dd", {}, body)];
}

function limitLine(limit) {
  const mark = !limit.kept ? "✗" : limit.sure ? "✓" : "~";
  const kind = !limit.kept ? "broken" : limit.sure ? "fine" : "doubtful";
  return h("li", { class: kind }, `${mark} ${limit.text}: ${limit.verdict}`);
}

export function stepPanel() {
  const panel = $("steps");
  const report = desk.live?.report;
  if (!report) return;
  if (report.refused) { panel.replaceChildren(h("p", { class: "refused" }, report.refused)); return; }
  const steps = report.steps;
  const step = steps.find((s) => s.number === desk.step) ?? steps[0];
  if (!step) { panel.replaceChildren(h("p", {}, "No numbered steps yet: begin with “1. Put 50 mL of water in the beaker.”")); return; }
  const at = steps.indexOf(step);
  const turn = (to, label) => h("button", { type: "button", disabled: !steps[to],
    "aria-label": label, onclick: () => { look(steps[to].number); } }, to < at ? "◀" : "▶");
  const n = step.number;
  const level = desk.live.levels[at];
  const fillings = desk.live.fillings.filter((f) => f.step === n);
  panel.replaceChildren(
    h("div", { class: "step-head" }, turn(at - 1, "Step before"),
      h("h2", {}, `Step ${n}`), turn(at + 1, "Next step")),
    h("p", { class: "step-text" }, step.text),
    ...fillings.map((f) => h("p", { class: "filled" }, h("button", { type: "button", class: "answer in",
      onclick: () => writeIn([f]) }, f.answer), f.band ? ` (${f.band}): ` : ": ", f.bound)),
    h("div", { class: "facts" },
      step.vessel ? vessel(level, `${step.volume} in the ${step.vessel}`) : null,
      h("dl", {}, fact("peak", shown(step.peak), n, "peak temperature"),
        step.lowest ? fact("lowest", shown(step.lowest), n, "lowest temperature") : null,
        fact("ends at", shown(step.ends), n, "end temperature"),
        fact("volume", step.volume, n, "volume"), fact("vessel", step.vessel),
        fact("pH", shown(step.ph), n, "pH"), fact("gas", step.gas, n, "gas"),
        fact("solids", step.solids.join(", ")), fact("takes", step.takes))),
    h("ul", { class: "limits" }, ...step.limits.map(limitLine),
      step.crowded ? h("li", { class: "broken" }, `✗ ${step.crowded === true ? "the vessel is too small" : step.crowded}`) : null),
    ...crops(report, n), ...cautionsOf(report, n),
    h("h3", {}, "How the numbers came about"), h("div", { id: "working" }),
    desk.live.bands ? "" : h("p", { class: "quiet" }, "Bands follow when you pause."));
  working(step);
}

function crops(report, step) {
  return report.crops.filter((c) => c.step === step).map((c) => h("p", { class: "crop" },
    h("strong", {}, `Crop ${c.number}: ${c.name}, ${shown(c.dry)} dry. `),
    `${shown(c.wet)} as filtered; purity ${shown(c.purity)}`,
    c.yield ? `; yield ${shown(c.yield)} of theory` : "", `; ${shown(c.left)} stays in the liquor.`));
}

function cautionsOf(report, step) {
  return report.cautions.filter((c) => c.where === `step ${step}`).map(caution);
}

async function working(step) {
  const mine = ++asked;
  const text = desk.liveText;
  const found = await post("/api/working", { text, line: step.line }).catch(() => null);
  if (mine !== asked || !found || !$("working")) return;
  const rows = found.rows.map((row) => workingRow(row, Boolean(desk.focus) && row.name.startsWith(desk.focus)));
  $("working").replaceChildren(...rows);
  const open = $("working").querySelector("details[open]");
  if (open && desk.focus) {
    open.scrollIntoView({ block: "nearest" });
    open.querySelector("summary").focus({ preventScroll: true });
  }
}

export function workingRow(row, open) {
  return h("details", { open, class: "working" },
    h("summary", {}, h("span", {}, row.name), h("b", {}, shown(row.result))),
    row.how ? h("p", {}, row.how, row.law ? `, by the ${row.law}` : "", row.source ? ` [${row.source}]` : "", ".") : null,
    row.terms.length ? h("table", {}, h("caption", { class: "unseen" }, `Terms of ${row.name}`),
      h("tbody", {}, ...row.terms.map((t) => h("tr", {},
        h("th", { scope: "row" }, t.label, t.note ? h("small", {}, t.note) : null,
          ...t.data.map((d) => h("small", { class: "datum" }, d))),
        h("td", {}, t.value)))),
      row.total ? h("tfoot", {}, h("tr", {}, h("td", { colspan: 2 }, row.total))) : null) : null,
    ...row.notes.map((n) => h("p", { class: "doubtful" }, `! ${n}`)),
    row.influences.length ? h("div", {}, h("p", {}, "The band comes from"),
      h("ul", {}, ...row.influences.map(([label, shifts]) => h("li", {}, `${label}: ${shifts}`)))) : null);
}

function caution(c) {
  return h("div", { class: `caution ${c.severity}` },
    h("p", {}, h("strong", {}, `${c.severity.toUpperCase()}, ${c.where}: `), c.message),
    h("p", { class: "quiet" }, c.why, c.source ? ` [${c.source}]` : "", c.unverified ? " (not verified)" : ""),
    c.remedy ? h("p", {}, `→ ${c.remedy}`) : null);
}

function problem(p, mark) {
  const fix = mark?.fix;
  return h("li", { class: `problem ${p.severity}` },
    h("button", { type: "button", class: "figure", onclick: () => goTo(p.line || 1, mark?.column ?? 1, mark?.length ?? 0) },
      p.where ? `${p.severity}, ${p.where}` : p.severity), h("span", {}, `: ${p.message}`),
    p.hint ? h("p", {}, `→ ${p.hint} `, fix ? h("button", { type: "button", onclick: () => replace(mark.line, mark.column, mark.length, fix) }, `write “${fix}”`) : null) : null);
}

function marked(p) {
  return desk.live.marks.find((m) => m.line === p.line && m.message === p.message);
}

export function remarks() {
  const report = desk.live?.report;
  if (!report) return;
  const parts = [];
  if (report.refused) parts.push(h("p", { class: "refused" }, report.refused));
  parts.push(h("h2", {}, "Problems"), report.problems.length
    ? h("ul", { class: "plain-list" }, ...report.problems.map((p) => problem(p, marked(p))))
    : h("p", {}, "None in the language, the names or the limits."));
  if (report.crops.length) parts.push(h("h2", {}, "Crops"), ...report.crops.flatMap((c) => crops({ crops: [c] }, c.step)));
  if (report.comparisons.length) parts.push(h("h2", {}, "Beside what was observed"), h("ul", { class: "plain-list" },
    ...report.comparisons.map((c) => h("li", { class: c.inside ? "fine" : "broken" }, `${c.inside ? "✓" : "✗"} ${c.text}; forecast ${shown(c.forecast)}; ${c.verdict}`))));
  parts.push(h("h2", {}, "Cautions"), ...report.cautions.map(caution),
    ...report.not_assessed.map((s) => h("p", { class: "quiet" }, s)));
  parts.push(h("h2", {}, "What this rests on"), h("p", {}, report.books),
    ...report.doubts.map((d) => h("p", { class: "quiet" }, `${d.obtained}: ${d.words}`)));
  $("remarks").replaceChildren(...parts);
  const bad = report.problems.filter((p) => p.severity !== "note").length;
  $("tab-remarks").textContent = bad ? `Remarks (${bad})` : "Remarks";
}

// At the caret: what is wrong with the words there.
export function remarkAtCaret(line, column) {
  const here = (desk.live?.marks ?? []).filter((m) => m.line === line && m.column - 1 <= column && column <= m.column - 1 + m.length);
  return here[0] ?? null;
}

let lastProblem = -1;

export function nextProblem() {
  const marks = (desk.live?.marks ?? []).filter((m) => m.kind !== "note");
  if (!marks.length || desk.liveText !== value()) { say("No remarks."); return; }
  lastProblem = (lastProblem + 1) % marks.length;
  const m = marks[lastProblem];
  goTo(m.line, m.column, m.length);
  say(`${m.kind}: ${m.message}. ${m.hint}`);
}

export function start() {
  on("drawn", () => { stepPanel(); remarks(); });
  on("looked", () => stepPanel());
  document.querySelector(".side").addEventListener("keydown", (event) => { if (event.key === "Escape") $("text").focus(); });
}
