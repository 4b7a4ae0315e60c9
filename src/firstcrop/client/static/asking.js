// Text to forecast: one question at a time, always about the newest text; bands when one pauses.

import { later } from "./dom.js";
import { post } from "./net.js";
import { desk, tell } from "./desk.js";
import { value } from "./editor.js";

export const page = crypto.randomUUID?.() ?? String(Math.random());
const PAUSE = 700; // ms without a keystroke before bands are asked for
const RETRY = 3000;

let asking = false;
let waiting = []; // when each keystroke not yet answered was made
const painted = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
let stop = null; // of the question for bands

const askBands = later(PAUSE, bands);
const retry = later(RETRY, refresh);

export function typed(when) {
  waiting.push(when);
  document.body.dataset.shown = "earlier text";
  stop?.abort();
  askBands.stop();
  refresh();
}

export async function refresh() {
  if (asking) return;
  asking = true;
  const text = value();
  const since = waiting;
  waiting = [];
  try {
    const asked = performance.now();
    const live = await post("/api/forecast", { text, page });
    const answered = performance.now();
    show(text, live);
    tell("server", true);
    afterwards(since, { asked, answered, shown: performance.now() });
    askBands();
  } catch (error) {
    waiting = [...since, ...waiting];
    if (error.status === undefined) { tell("server", false); retry(); } else tell("refused", error);
  } finally {
    asking = false;
  }
  if (value() !== text) refresh();
}

// The figures beside the text are on the screen; now the rest. The measure is read by bench/page.py.
async function afterwards(since, detail) {
  await painted();
  for (const start of since) performance.measure("keystroke-to-forecast", { start, detail });
  tell("drawn");
}

function show(text, live) {
  desk.live = live;
  desk.liveText = text;
  tell("live");
  document.body.dataset.shown = value() !== text ? "earlier text" : live.bands ? "with bands" : "without bands";
}

async function bands() {
  const text = value();
  stop = new AbortController();
  try {
    const live = await post("/api/bands", { text, page }, stop.signal);
    if (value() !== text) return;
    show(text, live);
    afterwards([]);
    tell("bands");
  } catch (error) {
    if (error.name !== "AbortError" && error.status !== 409) tell("server", false);
  }
}
