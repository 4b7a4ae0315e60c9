// One hand, wet gloves: what is read, a large field, one button. Enter keeps it too.

import { $, h, say } from "./dom.js";
import { notice } from "./frame.js";
import { key } from "./queue.js";

const KINDS = [
  { kind: "temperature", name: "°C", unit: "°C", word: "Temperature" }, { kind: "pH", name: "pH", unit: "", word: "pH" },
  { kind: "mass", name: "g", unit: "g", word: "Mass" }, { kind: "volume", name: "mL", unit: "mL", word: "Volume" },
  { kind: "crop", name: "crop", unit: "g", word: "Mass of a crop" }, { kind: "note", name: "note", unit: "", word: "Note" },
  { kind: "photo", name: "photo", unit: "", word: "Photo" },
];
const WIDEST = 1600; // px of a photo
let chosen = KINDS[0];
let correcting = null; // the entry that is corrected
let crop = { number: 1, dry: true };
let take = async () => {};

export function pad(work) {
  take = work;
  $("kinds").replaceChildren(...KINDS.map((k) => h("button", {
    type: "button", role: "radio", "aria-label": k.word, "aria-checked": "false", "data-kind": k.kind, onclick: () => choose(k) }, k.name)));
  $("kinds").addEventListener("keydown", (event) => {
    const way = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!way) return;
    event.preventDefault();
    choose(KINDS[(KINDS.indexOf(chosen) + way + KINDS.length) % KINDS.length]);
    document.querySelector("#kinds [aria-checked=true]").focus();
  });
  $("pad").addEventListener("submit", (event) => { event.preventDefault(); entered(); });
  $("photo").addEventListener("change", pictured);
  choose(chosen);
}

function choose(kind) {
  chosen = kind;
  for (const b of $("kinds").children) {
    const on = b.dataset.kind === kind.kind;
    b.setAttribute("aria-checked", String(on));
    b.tabIndex = on ? 0 : -1;
  }
  $("unit").textContent = kind.unit;
  $("reading").setAttribute("inputmode", kind.kind === "note" ? "text" : "decimal");
  $("reading").setAttribute("aria-label", kind.word);
  $("reading").placeholder = kind.kind === "crop" ? `crop ${crop.number}, ${crop.dry ? "dry" : "wet"}` : "";
  $("pad").dataset.kind = kind.kind;
  $("keep").textContent = kind.kind === "photo" ? "Take a photo" : correcting ? "Correct" : "Keep";
  $("reading").hidden = kind.kind === "photo";
  askCrop();
}

// Which crop, and wet or dry: asked only when a crop is weighed.
function askCrop() {
  $("crop")?.remove();
  if (chosen.kind !== "crop") return;
  const turn = (change) => () => { crop = { ...crop, ...change }; choose(chosen); $("reading").focus(); };
  $("pad").prepend(h("div", { id: "crop", class: "kinds" },
    h("button", { type: "button", onclick: turn({ number: crop.number % 4 + 1 }) }, `crop ${crop.number}`),
    h("button", { type: "button", onclick: turn({ dry: !crop.dry }) }, crop.dry ? "weighed dry" : "weighed wet")));
}

function stopCorrecting() {
  correcting = null;
  $("why")?.remove();
}

export function correct(entry) {
  stopCorrecting();
  correcting = entry;
  $("pad").prepend(h("div", { id: "why", class: "entry why" },
    h("label", { for: "reason" }, `Instead of ${entry.text}, because`),
    h("input", { id: "reason", value: "misread", maxlength: 300 }),
    h("button", { type: "button", onclick: () => { stopCorrecting(); choose(chosen); } }, "Leave it")));
  const kind = KINDS.find((k) => k.kind === entry.kind) ?? KINDS.find((k) => k.kind === "note");
  choose(kind);
  $("reading").value = "";
  $("reading").placeholder = `instead of ${entry.text}`;
  $("reading").focus();
  say(`Write what should stand instead of ${entry.text}.`);
}

async function entered() {
  if (chosen.kind === "photo") { $("photo").click(); return; }
  const written = $("reading").value.trim();
  if (!written) { $("reading").focus(); return; }
  const bare = /^[-+−]?[\d.,]+(\s*±\s*[\d.,]+)?$/.test(written);
  let text = bare && chosen.unit ? `${written} ${chosen.unit}` : written;
  if (chosen.kind === "crop") text += ` (crop ${crop.number}, ${crop.dry ? "dry" : "wet"})`;
  const reading = { key: key(), kind: chosen.kind, text };
  if (correcting) {
    const reason = $("reason").value.trim() || "misread";
    Object.assign(reading, { kind: "correction", corrects: correcting.number, reason, step: correcting.step });
  }
  stopCorrecting();
  $("reading").value = "";
  $("pad").dataset.busy = "true";
  choose(chosen);
  try {
    await take(reading, null);
    navigator.vibrate?.(40);
    say(`Kept: ${text}`);
  } catch (error) {
    $("reading").value = written; // the device could not keep it: it is still in the field
    say(`Not kept: ${error.message}`);
    notice(`This device could not keep the reading: ${error.message}`);
  } finally {
    delete $("pad").dataset.busy;
  }
}

async function pictured() {
  const file = $("photo").files[0];
  $("photo").value = "";
  if (!file) return;
  const note = "";
  await take({ key: key(), kind: "photo", text: note }, await smaller(file));
  say("The photo is kept.");
}

async function smaller(file) {
  const image = await createImageBitmap(file);
  const scale = Math.min(1, WIDEST / Math.max(image.width, image.height));
  const canvas = h("canvas", { width: Math.round(image.width * scale), height: Math.round(image.height * scale) });
  canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
  for (const quality of [0.85, 0.7, 0.5, 0.3]) {
    const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", quality));
    if (blob.size < 1_000_000 || quality === 0.3) return blob;
  }
  return file;
}
