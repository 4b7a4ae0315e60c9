// The shelf: every bottle with its strength today; the one looked at with all one can do with it.

import { $, h, say } from "./dom.js";
import { notice, unnotice } from "./frame.js";
import { get, post } from "./net.js";

let seen = null; // the bottle looked at, as the server last told
const key = () => crypto.randomUUID?.() ?? `${Date.now()}-${Math.random().toString(36).slice(2)}`;
const hash = () => decodeURIComponent(location.hash.slice(1));
const NEW = "+";

function recall(name) { try { return localStorage.getItem(name) ?? ""; } catch { return ""; } }
function remember(name, value) { try { localStorage.setItem(name, value); } catch { /* for this visit only */ } }

async function list() {
  const found = await get("/api/shelf");
  $("bottles").replaceChildren(...found.bottles.map(line));
  if (!found.bottles.length) {
    $("bottles").replaceChildren(h("li", {}, h("p", { class: "quiet" }, "No bottle yet. Add one, or bring in a CSV.")));
  }
  standing().catch(() => { $("apart").hidden = true; });
  if (document.activeElement !== $("place")) $("place").value = found.place;
  $("law-said").textContent = found.place ? "" : "Not said, so every list is told.";
}

function line(b) {
  const flags = [b.titrate && "titrate before use", b.low && "nearly empty"].filter(Boolean).join(", ");
  return h("li", {}, h("a", { href: `#${encodeURIComponent(b.name)}`, "aria-current": b.name === hash() ? "true" : null },
    h("b", {}, b.name), h("span", { class: "today" }, b.today),
    h("span", { class: "kind" }, b.product), h("span", { class: "doubt" }, flags),
    h("span", { class: "level" }, h("meter", { min: 0, max: 1, low: 0.1, value: b.part, "aria-label": `left in ${b.name}` }), `${b.left} left`)));
}

async function route() {
  unnotice();
  const name = hash();
  document.querySelectorAll(".bottles a").forEach((a) => {
    if (a.getAttribute("href") === location.hash) a.setAttribute("aria-current", "true"); else a.removeAttribute("aria-current");
  });
  $("bottle").hidden = !name;
  if (!name) return;
  if (name === NEW) { adding(); return; }
  try {
    seen = await post("/api/shelf/one", { name });
  } catch (error) {
    $("bottle").replaceChildren(h("p", { class: "wrong" }, `${error.message}. ${error.hint}`));
    return;
  }
  show();
}

function show(focus = true) {
  const b = seen.bottle;
  $("bottle").replaceChildren(h("h1", {}, b.name), h("p", { class: "quiet" }, b.product === b.substance ? b.product : `${b.product}: ${b.substance}`),
    facts(b), h("ul", { class: "warnings", "aria-label": "hazards" }, ...b.warnings.map((w) => h("li", {}, w))), ...b.law.map((words) => h("p", { class: "lawful" }, words)),
    ...parts().map(([title, made, open]) => h("details", { open }, h("summary", {}, title), made)));
  if (focus) { $("bottle").focus({ preventScroll: true }); if (innerWidth < 900) $("bottle").scrollIntoView(); }
}

function parts() {
  return [
    ["Draw from it", drawing(), true],
    ["Strength over the year", ageing(), false],
    ["Assay it", assaying(), false],
    ["Make a stock solution", solving(), false],
    ["Its label", labelled(seen.bottle.name), false],
    ["What was drawn", table(["when", "who", "how much", "for", "notes"], seen.draws.map((d) => [d.at, d.who, d.amount, d.sheet, d.notes]), "Nothing yet."), false],
    ["Its assays", table(["when", "who", "method", "strength", "notes"], seen.assays.map((a) => [a.at, a.who, a.method, a.strength, a.notes]), "None yet."), false],
    ["Change what is written", editing(), false],
  ];
}

// Worked out when it is opened, for the strength of today.
function labelled(name) {
  const out = h("div", {}, h("p", {}, h("a", { href: `/api/shelf/label.pdf?name=${encodeURIComponent(name)}` }, "Label to print (PDF)")));
  post("/api/shelf/label", { name }).then((found) => out.append(h("b", {}, found.head), ...found.lines.map((words) => h("p", {}, words))),
    (error) => out.append(wrong(error)));
  return out;
}

async function standing() {
  const { pairs } = await get("/api/shelf/apart");
  $("apart").hidden = !pairs.length;
  $("apart").replaceChildren(h("h2", {}, "Not side by side"),
    ...pairs.map((p) => h("div", { class: "lawful" }, h("b", {}, p.head), ...p.lines.map((words) => h("p", {}, words)))));
}

function facts(b) {
  const rows = [["strength today", b.today], ["known from", b.how], ["label claims", b.claim], ["left", `${b.left} of ${b.size}`],
    ["stored", b.stored], ["lot", b.lot], ["price", b.price], ["made", b.made], ["bought", b.bought],
    ["opened", b.opened], ["notes", b.notes]];
  return h("dl", {}, ...rows.filter(([, v]) => v).flatMap(([k, v]) => [h("dt", {}, k), h("dd", { class: k === "strength today" && b.titrate ? "doubt" : null }, v)]));
}

function table(heads, rows, none = "") {
  if (!rows.length) return h("p", { class: "quiet" }, none);
  return h("div", { class: "wide", tabindex: 0, role: "group", "aria-label": heads[0] }, h("table", {}, h("thead", {}, h("tr", {}, ...heads.map((x) => h("th", { scope: "col" }, x)))),
    h("tbody", {}, ...rows.map((r) => h("tr", {}, ...r.map((x) => h("td", {}, x)))))));
}

function ageing() {
  return table(["on", "strength", ""], seen.ahead.map((a) => [a.on, a.strength, a.titrate ? "titrate before use" : ""]));
}

// A form that sends, tells what came of it, and keeps what was typed when it is refused.
function form(made, words, send) {
  const out = h("div", { class: "told", role: "status" });
  const made_ = h("form", { onsubmit: async (event) => {
    event.preventDefault();
    const button = made_.querySelector("button");
    button.disabled = true;
    out.replaceChildren();
    try { out.replaceChildren(...await send(new FormData(made_), out) ?? []); } catch (error) { out.replaceChildren(wrong(error)); } finally { button.disabled = false; }
  } }, ...made, h("button", { class: "strong" }, words), out);
  return made_;
}

function wrong(error) {
  const all = error.body?.problems ?? [{ message: error.message, hint: error.hint, where: "" }];
  return h("div", { class: "wrong", role: "alert" }, ...all.map((p) => h("p", {}, [p.where, p.message].filter(Boolean).join(": "), p.hint ? `: ${p.hint}` : "")));
}

const field = (name, label, props = {}) => h("label", {}, label, h("input", { name, autocomplete: "off", maxlength: 400, ...props }));
const who = () => field("who", "who", { required: true, value: recall("firstcrop-who"), autocomplete: "name" });

async function again(words) {
  say(words);
  await list();
  seen = await post("/api/shelf/one", { name: seen.bottle.name });
  show(false);
}

function drawing() {
  let sent = key(); // the same draw sent twice counts once
  const how = h("select", { name: "how" }, h("option", { value: "take" }, "take out"), h("option", { value: "back" }, "put back"), h("option", { value: "left" }, "set what is left"));
  return form([h("label", {}, "what", how), field("amount", "how much", { required: true, placeholder: "50 mL" }), field("for", "for", { placeholder: "a sheet" }), who()], "Write it down", async (data) => {
    const told = await post("/api/shelf/draw", { name: seen.bottle.name, key: sent, ...Object.fromEntries(data) });
    remember("firstcrop-who", data.get("who"));
    sent = key();
    await again(told.told);
  });
}

function solving() {
  return form([field("strength", "strength", { required: true, placeholder: "2 mol/L" }), field("amount", "how much", { required: true, placeholder: "500 mL" }),
    field("of", "counted as", { placeholder: seen.bottle.substance })], "Work it out", async (data) => {
    const r = await post("/api/shelf/stock", { name: seen.bottle.name, ...Object.fromEntries(data) });
    return [h("h3", {}, r.title), h("dl", {}, ...r.facts.flatMap(([k, v]) => [h("dt", {}, k), h("dd", {}, v)])),
      h("ol", {}, ...r.steps.map((s) => h("li", {}, s))), h("details", {}, h("summary", {}, "The same as a sheet"), h("pre", { tabindex: 0 }, r.sheet))];
  });
}

function assaying() {
  const method = h("select", { name: "method" }, document.importNode($("methods").content, true));
  const text = h("textarea", { name: "text", spellcheck: "false", required: true });
  const fill = async () => { text.value = (await post("/api/shelf/form", { method: method.value })).text; };
  method.addEventListener("change", () => fill().catch((error) => notice(error.message)));
  let sent = key();
  const made = form([h("label", {}, "method", method), who(), h("label", { class: "long" }, "readings", text), h("label", {}, "keep the result", h("select", { name: "keep" }, h("option", { value: "" }, "no, only compute"), h("option", { value: "yes" }, "yes, with this bottle")))], "Compute", async (data) => {
    const keep = data.get("keep") === "yes";
    const found = await post("/api/shelf/assay", { name: seen.bottle.name, key: sent, method: data.get("method"), text: data.get("text"), who: data.get("who"), keep });
    remember("firstcrop-who", data.get("who"));
    if (keep) { sent = key(); await again("The result is kept with the bottle."); notice(...found.sentences.slice(0, 1)); return []; }
    return [...found.sentences.map((s) => h("p", {}, s)), ...found.problems.map((p) => h("p", { class: "lawful" }, [p.where, p.message].filter(Boolean).join(": "))),
      table(["budget", "value", "u", "share", "how it is known"], found.budget.map((r) => [r.inner ? `– ${r.name}` : r.name, r.value, r.u, r.share, r.how])),
      ...found.advice.map((a, n) => h("p", {}, n ? a : `Improve first: ${a}`))];
  });
  fill().catch(() => { /* the field stays empty */ });
  return made;
}

function cells(values) {
  const made = document.importNode($("cells").content, true);
  for (const input of made.querySelectorAll("input")) input.value = values[input.name] ?? "";
  return made;
}

function editing() {
  const made = cells(seen.cells);
  made.querySelector("[name=name]").closest("label").remove();
  return form([made], "Change", async (data) => {
    await post("/api/shelf/change", { name: seen.bottle.name, edition: seen.bottle.edition, cells: Object.fromEntries(data) });
    await again("Changed.");
  });
}

function adding() {
  $("bottle").replaceChildren(h("h1", {}, "A new bottle"), h("p", { class: "quiet" }, "As on the label. A strength that is left out is that of the product as it is usually sold."),
    form([cells({})], "Put it on the shelf", async (data) => {
      const made = await post("/api/shelf/add", { cells: Object.fromEntries(data) });
      await list();
      say(`${made.name} is on the shelf.`);
      location.hash = encodeURIComponent(made.name);
    }));
  $("bottle").querySelector("input").focus();
}

async function bringIn() {
  const file = $("csv").files[0];
  if (!file) return;
  try {
    const done = await post("/api/shelf/import", { text: await file.text() });
    await list();
    notice(`Added: ${done.added.join(", ") || "none"}.${done.alike.length ? ` There already: ${done.alike.join(", ")}.` : ""}`);
  } catch (error) { notice(h("p", {}, "Nothing was added."), wrong(error)); } finally { $("csv").value = ""; }
}

// What a run of a sheet takes from the shelf, what that costs, and drawing it in one go.
let runKey = key();

async function runText() {
  const found = await get(`/api/sheets/${encodeURIComponent($("run-sheet").value)}`);
  return { name: $("run-sheet").value, text: found.text };
}

async function runTakes(event) {
  event.preventDefault();
  $("run-told").replaceChildren(h("p", { class: "quiet" }, "Forecasting the sheet with its bands…"));
  try {
    const found = await post("/api/shelf/takes", await runText());
    $("run-told").replaceChildren(table(["material", "bottle", "takes", "costs", "runs left"], found.cost.lines),
      ...found.cost.sentences.map((s) => h("p", {}, s)),
      ...found.strengths.map((a) => h("p", { class: a.titrate ? "doubt" : null }, `${a.bottle} moves ${a.effect}${a.titrate ? ": titrate before use" : ""}`)));
  } catch (error) { $("run-told").replaceChildren(wrong(error)); }
}

async function runDraw() {
  const who = $("run-who").value.trim();
  try {
    const found = await post("/api/shelf/run", { ...await runText(), who, key: runKey });
    remember("firstcrop-who", who);
    runKey = key();
    $("run-told").replaceChildren(...found.told.map((s) => h("p", {}, s)));
    await list();
    if (seen && hash() === seen.bottle.name) await again("Drawn.");
  } catch (error) { $("run-told").replaceChildren(wrong(error)); }
}

async function sheets() {
  const found = await get("/api/sheets");
  $("run-sheet").replaceChildren(...found.sheets.map((s) => h("option", { value: s.name }, s.title || s.name)));
  $("run-who").value = recall("firstcrop-who");
}

$("run").addEventListener("submit", runTakes);
$("run-draw").addEventListener("click", runDraw);
$("run-sheet").addEventListener("change", () => { runKey = key(); });
$("new").addEventListener("click", () => { if (hash() === NEW) adding(); else location.hash = NEW; });
$("csv").addEventListener("change", bringIn);
$("law").addEventListener("submit", async (event) => {
  event.preventDefault();
  try { await post("/api/shelf/law", { place: $("place").value }); await list(); if (seen && hash() === seen.bottle.name) await again("Set."); } catch (error) { $("law-said").textContent = `${error.message}. ${error.hint}`; }
});
addEventListener("hashchange", route);
try { await Promise.all([list(), sheets()]); await route(); } catch (error) { notice(`The shelf cannot be shown: ${error.message}. ${error.hint ?? ""}`); }
