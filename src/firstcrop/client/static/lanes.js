// The picture: lanes over one time axis, drawn by Vega-Lite, pointed at by pointer or arrow keys.
// A change of the text puts new rows into the pictures that stand; only another shape is drawn anew.

import { $, h, later, say } from "./dom.js";
import { dark } from "./frame.js";
import { post } from "./net.js";
import { desk, look, on, point } from "./desk.js";

const AXES = 100; // px beside the lanes
const LEAST = 200;
let loading = null;
let parts = null; // the elements of the panel
let picture = null; // what the server last told
let drawn = []; // the pictures that stand: their element, shape, rows and view
let width = 0;
let at = 0; // the moment pointed at
let drawnFor = "";

function vega() {
  loading ??= new Promise((done, failed) => {
    const script = h("script", { src: "/vega.js" });
    script.onload = () => done(window.vegaEmbed);
    script.onerror = () => { loading = null; failed(new Error("the picture could not be loaded")); };
    document.head.append(script);
  });
  return loading;
}

const quiet = { actions: false, mode: "vega-lite", ast: true, renderer: "svg", defaultStyle: false, tooltip: false,
  loader: { http: () => Promise.reject(new Error("nothing is loaded")) } };

const visible = () => $("picture").offsetParent !== null;

function room() {
  const style = getComputedStyle($("picture"));
  return Math.max(LEAST, Math.floor($("picture").clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight) - AXES));
}

async function draw() {
  if (!visible() || !desk.live) return;
  const wide = room();
  const key = JSON.stringify([desk.liveText, desk.live.bands, wide, dark()]);
  if (key === drawnFor) return;
  drawnFor = key;
  try {
    const [embed, found] = await Promise.all([vega(),
      post("/api/picture", { text: desk.liveText, width: wide, dark: dark() })]);
    if (key !== drawnFor) return;
    width = wide;
    await show(embed, found);
  } catch (error) {
    drawnFor = "";
    parts = null;
    drawn = [];
    $("picture").replaceChildren(h("p", { class: "warn" }, `No picture: ${error.message}`));
  }
}

function panel() {
  const lanes = h("div", { class: "chart" });
  const cursor = h("div", { class: "cursor", hidden: true });
  const strip = h("div", { class: "strip", hidden: true });
  const reading = h("p", { class: "reading" }, "Point along the lanes, or use the arrow keys.");
  const box = h("div", { class: "lanes", tabindex: "0", role: "slider", "aria-label": "Time along the run",
    "aria-describedby": "lanes-words", "aria-valuemin": 0, "aria-valuenow": 0 }, strip, lanes, cursor);
  const words = h("ul", { class: "plain-list quiet", id: "lanes-words" });
  const windows = h("div");
  $("picture").replaceChildren(h("h2", {}, "The run"), reading, box,
    h("details", {}, h("summary", {}, "In words"), words), windows);
  const pointed = (event) => pointAt((event.clientX - box.getBoundingClientRect().left - origin()) / width);
  box.addEventListener("pointermove", pointed);
  box.addEventListener("pointerdown", pointed);
  box.addEventListener("click", () => look(desk.pointed || desk.step, "", false));
  box.addEventListener("pointerleave", () => { cursor.hidden = true; point(0); });
  box.addEventListener("keydown", keys);
  return { lanes, cursor, strip, reading, box, words, windows };
}

async function show(embed, found) {
  if (!parts?.box.isConnected) { parts = panel(); drawn = []; }
  picture = found;
  parts.words.replaceChildren(...found.words.map((w) => h("li", {}, w)));
  parts.box.setAttribute("aria-valuemax", Math.max(found.moments.length - 1, 0));
  const frames = windowFrames(found.windows);
  await place(embed, 0, parts.lanes, found.lanes, found.rows);
  for (const [i, w] of found.windows.entries()) await place(embed, i + 1, frames[i].firstChild, w.spec, w.rows);
  strips();
  if (!parts.cursor.hidden) moment(at);
}

// The words around each window are new every time; its frame stays, and has the words as its name
// (the drawing library names the element it draws in itself).
function windowFrames(windows) {
  const frames = windows.map((w, i) => {
    const frame = drawn[i + 1]?.element.parentElement ?? h("div", { class: "window", role: "img" }, h("div", { class: "chart" }));
    frame.setAttribute("aria-label", [w.sentence, ...w.words].join(" "));
    return frame;
  });
  const made = windows.flatMap((w, i) => [h("h2", {}, `Window before step ${w.step} ends`), h("p", {}, w.sentence), frames[i],
    h("details", {}, h("summary", {}, "In words"), ...w.words.map((words) => h("p", { class: "quiet" }, words)))]);
  if (!windows.length) made.push(h("p", { class: "quiet" }, "A step that cools until the product crystallises gets a picture of its window here."));
  parts.windows.replaceChildren(...made);
  for (const old of drawn.splice(windows.length + 1)) old.view.finalize();
  return frames;
}

async function place(embed, index, element, spec, rows) {
  const shape = JSON.stringify(spec);
  const told = Object.fromEntries(Object.entries(rows).map(([name, list]) => [name, JSON.stringify(list)]));
  const known = drawn[index];
  if (known?.element === element && known.shape === shape) {
    for (const name of Object.keys(rows)) if (known.told[name] !== told[name]) known.view.data(name, rows[name]);
    known.told = told;
    await known.view.runAsync();
    return;
  }
  known?.view.finalize();
  const { view } = await embed(element, { ...spec, datasets: rows }, quiet);
  drawn[index] = { element, shape, told, view };
}

// px from the left of the box to where the lanes begin.
function origin() {
  const drawing = parts.lanes.querySelector("svg, canvas");
  if (!drawing || !drawn[0]) return 0;
  return drawing.getBoundingClientRect().left - parts.box.getBoundingClientRect().left + drawn[0].view.origin()[0];
}

function pointAt(x) {
  if (!picture?.moments.length) return;
  let best = 0;
  picture.moments.forEach((m, i) => { if (Math.abs(m.x - x) <= Math.abs(picture.moments[best].x - x)) best = i; });
  moment(best);
}

function moment(index) {
  at = Math.max(0, Math.min(index, picture.moments.length - 1));
  const m = picture.moments[at];
  parts.cursor.hidden = false;
  parts.cursor.style.left = `${origin() + m.x * width}px`;
  const words = m.says.map(([name, v]) => (name === "vessel" ? v : `${name} ${v}`)).join(" · ");
  parts.reading.textContent = `Step ${m.step}, ${m.clock}: ${words}`;
  parts.box.setAttribute("aria-valuenow", at);
  parts.box.setAttribute("aria-valuetext", parts.reading.textContent);
  point(m.step);
}

function keys(event) {
  const moves = { ArrowRight: 1, ArrowLeft: -1, PageUp: 20, PageDown: -20, Home: -1e6, End: 1e6 };
  if (event.key === "Enter" && desk.pointed) { look(desk.pointed, "", false); say(`Step ${desk.pointed} is chosen.`); return; }
  if (!(event.key in moves) || !picture?.moments.length) return;
  event.preventDefault();
  moment(at + moves[event.key]);
}

// The step pointed at, shaded through every lane.
function strips() {
  if (!picture || !parts) return;
  const band = picture.steps.find(([n]) => n === desk.pointed);
  parts.strip.hidden = !band;
  if (!band) return;
  parts.strip.style.left = `${origin() + band[1] * width}px`;
  parts.strip.style.width = `${(band[2] - band[1]) * width}px`;
}

export function start() {
  const soon = later(300, draw);
  on("drawn", soon);
  on("shown", draw);
  on("pointed", strips);
  addEventListener("theme", draw);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
  new ResizeObserver(soon).observe($("picture"));
}
