// The picture: lanes over one time axis, drawn by Vega-Lite, pointed at by pointer or arrow keys.

import { $, h, later } from "./dom.js";
import { dark } from "./frame.js";
import { post } from "./net.js";
import { desk, look, on, point } from "./desk.js";

const AXES = 78; // px beside the lanes
let loading = null;
let picture = null;
let origin = 0;
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

async function draw() {
  if (!visible() || !desk.live) return;
  const room = $("picture").clientWidth;
  const key = JSON.stringify([desk.liveText, desk.live.bands, room, dark()]);
  if (key === drawnFor) return;
  drawnFor = key;
  try {
    const [embed, found] = await Promise.all([vega(),
      post("/api/picture", { text: desk.liveText, width: Math.max(220, room - AXES), dark: dark() })]);
    if (key !== drawnFor) return;
    await show(embed, found, Math.max(220, room - AXES));
  } catch (error) {
    drawnFor = "";
    $("picture").replaceChildren(h("p", { class: "warn" }, `No picture: ${error.message}`));
  }
}

async function show(embed, found, wide) {
  const lanes = h("div", { class: "chart" });
  const cursor = h("div", { class: "cursor", hidden: true });
  const strip = h("div", { class: "strip", hidden: true });
  const reading = h("p", { class: "reading", role: "status" }, "Point along the lanes, or use the arrow keys.");
  const box = h("div", { class: "lanes", tabindex: "0", role: "slider", "aria-label": `Time along the run. ${found.words}`,
    "aria-valuemin": 0, "aria-valuemax": Math.max(found.moments.length - 1, 0), "aria-valuenow": 0 }, strip, lanes, cursor);
  const windows = found.windows.map((w) => [h("div", { class: "chart window" }), w]);
  const made = [h("h2", {}, "The run"), reading, box, ...windows.flatMap(([el, w]) =>
    [h("h2", {}, `Window before step ${w.step} ends`), h("p", {}, w.sentence), el])];
  if (!windows.length) made.push(h("p", { class: "quiet" }, "A step that cools until the product crystallises gets a picture of its window here."));
  const old = $("picture").scrollTop;
  $("picture").replaceChildren(...made);
  const view = (await embed(lanes, found.lanes, quiet)).view;
  for (const [el, w] of windows) await embed(el, w.spec, quiet);
  $("picture").scrollTop = old;
  picture = { ...found, box, cursor, strip, reading };
  const drawing = lanes.querySelector("svg, canvas");
  origin = drawing.getBoundingClientRect().left - box.getBoundingClientRect().left + view.origin()[0];
  width = wide;
  box.addEventListener("pointermove", (event) => pointAt((event.clientX - box.getBoundingClientRect().left - origin) / width));
  box.addEventListener("pointerdown", (event) => pointAt((event.clientX - box.getBoundingClientRect().left - origin) / width));
  box.addEventListener("click", () => look(desk.pointed || desk.step, "", false));
  box.addEventListener("pointerleave", () => { cursor.hidden = true; point(0); });
  box.addEventListener("keydown", keys);
  strips();
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
  picture.cursor.hidden = false;
  picture.cursor.style.left = `${origin + m.x * width}px`;
  const words = m.says.map(([name, v]) => (name === "vessel" ? v : `${name} ${v}`)).join(" · ");
  picture.reading.textContent = `Step ${m.step}, ${m.clock}: ${words}`;
  picture.box.setAttribute("aria-valuenow", at);
  picture.box.setAttribute("aria-valuetext", picture.reading.textContent);
  point(m.step);
}

function keys(event) {
  const moves = { ArrowRight: 1, ArrowLeft: -1, PageUp: 20, PageDown: -20, Home: -1e6, End: 1e6 };
  if (!(event.key in moves) || !picture) return;
  event.preventDefault();
  moment(at + moves[event.key]);
}

// The step pointed at, shaded through every lane.
function strips() {
  if (!picture) return;
  const band = picture.steps.find(([n]) => n === desk.pointed);
  picture.strip.hidden = !band;
  if (!band) return;
  picture.strip.style.left = `${origin + band[1] * width}px`;
  picture.strip.style.width = `${(band[2] - band[1]) * width}px`;
}

export function start() {
  const soon = later(300, draw);
  on("live", soon);
  on("bands", soon);
  on("shown", draw);
  on("pointed", strips);
  addEventListener("theme", draw);
  new ResizeObserver(soon).observe($("picture"));
}
