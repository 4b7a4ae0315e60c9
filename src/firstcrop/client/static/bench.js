// The bench: the present step large, what should happen, its clock, and readings that cannot be lost.

import { $, h, later, say } from "./dom.js";
import { notice, unnotice } from "./frame.js";
import { get, post } from "./net.js";
import * as queue from "./queue.js";
import { clock, loud } from "./clock.js";
import { correct, pad } from "./pad.js";
import { curve } from "./curve.js";
import { accountPanel } from "./account.js";

let run = null; // as the server last told
let pending = []; // readings this device still holds
let at = 0; // index of the step looked at
let told = null; // what the readings mean, as last told
const who = () => recall("firstcrop-who");

function recall(name) { try { return localStorage.getItem(name) ?? ""; } catch { return ""; } }
function remember(name, value) { try { localStorage.setItem(name, value); } catch { /* for this visit only */ } }

const hash = () => decodeURIComponent(location.hash.slice(1));
const steps = () => run.sheet.steps;
const step = () => steps()[at];

async function route() {
  unnotice();
  run = null;
  told = null;
  if (hash()) await openRun(hash()); else await list();
}

async function list() {
  $("run").hidden = true;
  $("runs").hidden = false;
  $("run-title").textContent = "";
  $("start-who").value = who();
  const [sheets, runs] = await Promise.all([get("/api/sheets"), get("/api/runs")]);
  $("start-sheet").replaceChildren(...sheets.sheets.map((s) => h("option", { value: s.name }, s.title || s.name)));
  $("run-list").replaceChildren(...runs.runs.map((r) => h("li", {}, h("a", { href: `#${r.id}` }, h("b", {}, r.title),
    h("span", {}, `${new Date(r.begun).toLocaleString()}, ${r.who}, ${r.entries} entries`)))));
  if (!runs.runs.length) $("run-list").replaceChildren(h("li", {}, h("p", { class: "quiet" }, "None yet.")));
}

async function begin(event) {
  event.preventDefault();
  const name = $("start-sheet").value, person = $("start-who").value.trim();
  remember("firstcrop-who", person);
  $("starting").textContent = "Forecasting the sheet with its bands…";
  try {
    const page = await get(`/api/sheets/${encodeURIComponent(name)}`);
    const made = await post("/api/runs", { id: queue.key(), name, text: page.text, who: person });
    location.hash = made.id;
  } catch (error) {
    notice(`The run could not be started: ${error.message}. ${error.hint ?? ""}`);
  } finally {
    $("starting").textContent = "";
  }
}

async function openRun(id) {
  try {
    run = await get(`/api/runs/${encodeURIComponent(id)}`);
  } catch (error) {
    notice(`This run could not be opened: ${error.message}. `, h("a", { href: "/bench" }, "All runs"));
    return;
  }
  pending = await queue.waiting(id);
  $("runs").hidden = true;
  $("run").hidden = false;
  $("run-title").textContent = run.title;
  at = present();
  papers();
  show();
  queue.send();
  means();
}

// The first step that is not done.
function present() {
  const done = new Set(all().filter((e) => e.kind === "step done").map((e) => e.step));
  const next = steps().findIndex((s) => !done.has(s.number));
  return next < 0 ? steps().length - 1 : next;
}

// What the server has, and after it what still waits here.
function all() {
  const begun = begins(run.entries);
  const own = pending.map(({ reading }) => ({ ...reading, number: 0, stands: true, waits: true,
    celsius: reading.kind === "temperature" ? parseFloat(reading.text.replace(",", ".").replace("−", "-")) : null }));
  const merged = { ...begun, ...begins(own) };
  for (const e of own) e.minutes = merged[e.step] ? (new Date(e.at) - merged[e.step]) / 60000 : null;
  return [...run.entries, ...own];
}

function begins(entries) {
  const found = {};
  for (const e of entries) if (e.kind === "step begun") found[e.step] ??= new Date(e.at);
  return found;
}

async function take(reading, photo) {
  const whole = { at: new Date().toISOString(), who: who() || run.who, step: step().number, ...reading };
  await queue.keep(run.id, whole, photo);
  pending = await queue.waiting(run.id);
  show();
}

function show() {
  if (!run) return;
  const s = step(), entries = all();
  const begun = begins(entries)[s.number];
  const done = entries.some((e) => e.kind === "step done" && e.step === s.number);
  $("step").replaceChildren(
    h("p", { class: "which" },
      h("button", { type: "button", "aria-label": "Step before", disabled: at === 0, onclick: () => turn(-1) }, "‹"),
      h("span", {}, `Step ${s.number} of ${steps().length}${done ? ", done" : ""}`),
      h("button", { type: "button", "aria-label": "Step after", disabled: at === steps().length - 1, onclick: () => turn(1) }, "›")),
    h("h1", {}, s.text),
    ...warnings(s.cautions),
    ...s.answers.map((a) => h("p", { class: "answer" }, a)),
    s.expect.length ? h("ul", { class: "expect" }, ...s.expect.map((e) => h("li", {}, e))) : null,
    ...s.limits.map((l) => h("p", { class: "limit" }, l)),
    done ? null : begun ? clock(+begun, s.minutes) : s.minutes >= 0.5 ? h("p", { class: "clock" }, `takes ${minutes(s.minutes)}`) : null,
    h("p", { class: "choices" },
      done || begun ? null : h("button", { type: "button", id: "begin", class: "strong big", onclick: () => { loud(); mark("step begun"); } }, "Begin this step"),
      done || !begun ? null : h("button", { type: "button", id: "done", class: "strong big", onclick: finish }, "Step done")));
  $("drawn").replaceChildren(...[curve(s.curve, entries.filter((e) => readable(e, s.number)))].filter(Boolean));
  alarms();
  rest();
  ledger(entries);
  waits();
}

// The gravest two at once, the others one tap away.
function warnings(cautions) {
  const told = cautions.map((c) => h("p", { class: "warn" }, h("b", {}, "Caution: "), c));
  const more = told.splice(2);
  return more.length ? [...told, h("details", {}, h("summary", {}, `${more.length} more cautions`), ...more)] : told;
}

const readable = (e, number) => e.stands && e.step === number && Number.isFinite(e.celsius) && Number.isFinite(e.minutes);
const minutes = (m) => (m >= 60 ? `${Math.floor(m / 60)} h ${Math.round(m % 60)} min` : `${Math.round(m)} min`);

function turn(way) { at = Math.min(Math.max(at + way, 0), steps().length - 1); show(); }

function mark(kind) { return take({ key: queue.key(), kind, text: "" }, null); }

async function finish() {
  await mark("step done");
  if (at < steps().length - 1) at += 1;
  show();
  say(`Step ${step().number}: ${step().text}`);
  scrollTo({ top: 0 });
}

function waits() {
  const n = pending.length;
  $("link").textContent = n ? `${n} ${n === 1 ? "reading waits" : "readings wait"} on this device` : "all kept";
  document.body.classList.toggle("silent", n > 0 && document.body.dataset.linked === "false");
}

function ledger(entries) {
  const rows = entries.filter((e) => !["step begun", "step done"].includes(e.kind)).reverse();
  $("entries").replaceChildren(h("h2", {}, "Recorded"), rows.length ? h("ol", { class: "ledger", reversed: true }, ...rows.map(row))
    : h("p", { class: "quiet" }, "Nothing yet."));
}

function row(e) {
  const when = new Date(e.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  return h("li", { class: e.stands ? "" : "struck", "data-key": e.key ?? "" },
    h("span", { class: "quiet" }, `${when}, step ${e.step}, ${e.who}: `),
    e.photo ? h("a", { href: `/api/photos/${e.photo}` }, h("img", { src: `/api/photos/${e.photo}`, alt: `photo of step ${e.step}`, loading: "lazy" })) : null,
    e.stands ? h("b", {}, `${e.kind === "pH" ? "pH " : ""}${e.text || e.kind}`) : h("s", {}, e.text),
    e.corrects ? ` (corrects entry ${e.corrects}: ${e.reason})` : null, e.stands ? null : " (corrected)",
    e.waits ? h("i", {}, " waits on this device") : null,
    e.stands && !e.waits && e.kind !== "photo" ? h("button", { type: "button", class: "plain", "aria-label": `Correct ${e.text}`, onclick: () => correct(e) }, "correct") : null);
}

const means = later(600, async () => {
  if (!run) return;
  const id = run.id;
  try {
    const found = await get(`/api/runs/${encodeURIComponent(id)}/again`);
    if (run?.id !== id) return;
    told = found;
    alarms();
    rest();
  } catch { /* told again after the next reading */ }
});

function alarms() {
  const list = told?.alarms ?? [];
  const worst = list.filter((a) => a.step === step().number);
  $("alarms").hidden = !worst.length;
  $("alarms").replaceChildren(...worst.slice(0, 2).map((a) => h("div", {},
    h("h2", {}, `${a.what}: ${a.read}, forecast ${a.forecast}`),
    h("p", {}, h("b", {}, "First: "), a.first),
    h("p", {}, h("b", {}, "It may mean "), a.means, ". ", h("span", { class: "quiet" }, "Common practice, no source.")))));
}

function rest() {
  const next = (told?.again ?? []).filter((a) => a.step > step().number || a.step === 0);
  if (!told?.lessons.length || !next.length) { $("again").replaceChildren(); return; }
  $("again").replaceChildren(h("h2", {}, "The rest, from what was read"),
    h("ul", {}, ...next.slice(0, 8).map((a) => h("li", {}, a.step ? `step ${a.step}: ` : "", `${a.what} ${a.shown}`))),
    h("details", {}, h("summary", {}, "What the readings taught"),
      h("ul", {}, ...told.lessons.map((l) => h("li", {}, `${l.label}: ${l.before}, now ${l.after}`)))));
}

function papers() {
  const base = `/api/runs/${encodeURIComponent(run.id)}`;
  $("papers").replaceChildren(
    h("a", { href: `${base}/report.pdf` }, "Report (PDF)"), h("a", { href: `${base}/sheet.pdf` }, "Run sheet (PDF)"),
    h("a", { href: `${base}/labels.pdf` }, "Labels (PDF)"), h("a", { href: `${base}/observed.md` }, "Sheet with what was observed"),
    h("a", { href: `${base}/files.zip` }, "All as plain files"),
    h("button", { type: "button", id: "ask-account", onclick: () => accountPanel($("account"), run.id) }, "Account"));
}

async function logged() {
  const file = $("log").files[0];
  $("log").value = "";
  if (!file) return;
  const begun = begins(all())[step().number];
  try {
    const found = await post(`/api/runs/${encodeURIComponent(run.id)}/log`, {
      text: await file.text(), step: step().number, who: who() || run.who, from: (begun ?? new Date(run.begun)).toISOString() });
    notice(`${found.taken} rows taken. ${found.problems.map((p) => p.message).slice(0, 3).join("; ")}`);
    await refreshed();
  } catch (error) {
    notice(`The log was not taken: ${error.message}. ${error.hint ?? ""}`);
  }
}

async function refreshed() {
  if (!run) return;
  const id = run.id;
  try {
    const found = await get(`/api/runs/${encodeURIComponent(id)}`);
    if (run?.id !== id) return;
    run = found;
  } catch { /* what is shown stays */ }
  pending = await queue.waiting(id);
  show();
  means();
}

function heard(news) {
  document.body.dataset.linked = String(news.connected);
  if (news.error?.code) notice(`Not recorded, still on this device: ${news.error.message}. ${news.error.hint}`);
  for (const p of news.problems ?? []) notice(`${p.message}. ${p.hint ?? ""}`);
  if (news.run === run?.id) refreshed(); else if (run) waits();
}

function start() {
  queue.listen(heard);
  pad(take);
  $("start").addEventListener("submit", begin);
  $("log").addEventListener("change", logged);
  addEventListener("hashchange", route);
  addEventListener("dragover", (event) => event.preventDefault());
  addEventListener("drop", (event) => {
    event.preventDefault();
    if (!run || !event.dataTransfer.files.length) return;
    $("log").files = event.dataTransfer.files;
    logged();
  });
  route();
}

start();
