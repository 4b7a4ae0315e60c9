// The forecast of a step and what was read, drawn together: a line, its band, and a ring for each reading.

import { h, svg } from "./dom.js";

const W = 640, H = 260, LEFT = 46, RIGHT = 12, TOP = 12, BOTTOM = 34;

export function curve(points, readings) {
  const temperatures = [...points.flatMap((p) => [p[2], p[3], p[1]]), ...readings.map((r) => r.celsius)];
  if (!temperatures.length) return null;
  const last = Math.max(1, ...points.map((p) => p[0]), ...readings.map((r) => r.minutes));
  const low = Math.floor((Math.min(...temperatures) - 2) / 5) * 5;
  const high = Math.ceil((Math.max(...temperatures) + 2) / 5) * 5;
  const x = (m) => LEFT + (W - LEFT - RIGHT) * m / last;
  const y = (t) => H - BOTTOM - (H - TOP - BOTTOM) * (t - low) / (high - low);
  const at = (p, i) => `${x(p[0]).toFixed(1)},${y(p[i]).toFixed(1)}`;
  const made = svg("svg", { viewBox: `0 0 ${W} ${H}`, role: "img", "aria-label": words(points, readings), class: "curve" });
  for (const t of ticks(low, high)) {
    made.append(svg("line", { x1: LEFT, x2: W - RIGHT, y1: y(t), y2: y(t), class: "grid" }), label(LEFT - 6, y(t) + 5, "end", t));
  }
  for (const m of ticks(0, last)) made.append(label(x(m), H - BOTTOM + 20, "middle", m));
  made.append(label(W - RIGHT, H - 2, "end", "minutes"), label(4, TOP + 4, "start", "°C"));
  if (points.length > 1) {
    const band = [...points.map((p) => at(p, 2)), ...[...points].reverse().map((p) => at(p, 3))];
    made.append(svg("polygon", { points: band.join(" "), class: "band" }),
      svg("polyline", { points: points.map((p) => at(p, 1)).join(" "), class: "forecast" }));
  }
  for (const r of readings) made.append(svg("circle", { cx: x(r.minutes), cy: y(r.celsius), r: 6, class: "read" }));
  return h("figure", {}, made, h("figcaption", { class: "quiet" },
    h("span", { class: "key-line" }), " forecast, with its 90 % band ", h("span", { class: "key-ring" }), " read"));
}

function ticks(low, high) {
  const rough = (high - low) / 4;
  const step = [1, 2, 5, 10, 20, 30, 60, 120, 240].find((s) => s >= rough) ?? Math.ceil(rough);
  const found = [];
  for (let t = Math.ceil(low / step) * step; t <= high; t += step) found.push(t);
  return found;
}

function label(x, y, anchor, text) { return svg("text", { x, y, "text-anchor": anchor, class: "tick" }, String(text)); }

function words(points, readings) {
  if (!points.length) return `${readings.length} readings; the forecast has no curve for this step.`;
  const first = points[0], last = points[points.length - 1];
  const peak = points.reduce((a, b) => (b[1] > a[1] ? b : a));
  const read = readings.map((r) => `${r.celsius.toFixed(1)} °C at ${r.minutes.toFixed(0)} min`).join(", ");
  return `Forecast from ${first[1].toFixed(1)} to ${last[1].toFixed(1)} °C in ${last[0].toFixed(0)} minutes, `
    + `highest ${peak[1].toFixed(1)} °C. ${read ? `Read: ${read}.` : "Nothing read yet."}`;
}
