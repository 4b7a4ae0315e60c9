// One row of figures beside a step. Every figure is a button that opens how it came about.

import { h, svg } from "./dom.js";
import { look, point } from "./desk.js";

// A vessel as a small drawing: filled to its level, a line where gas and foam reach.
export function vessel(level, words) {
  const tall = 20;
  const parts = [svg("title", {}, words)];
  if (level?.end !== null && level?.end !== undefined) {
    const fill = Math.min(level.end, 1) * tall;
    parts.push(svg("rect", { x: 2, y: 1 + tall - fill, width: 14, height: fill, class: "liquid" }));
    const peak = Math.min(level.peak ?? 0, 1) * tall;
    if (peak > fill + 0.6) {
      parts.push(svg("line", { x1: 2, x2: 16, y1: 1 + tall - peak, y2: 1 + tall - peak, class: "reach" }));
    }
    if (level.peak > 1) parts.push(svg("path", { d: "M4 1l5 4 5-4", class: "over" }));
  }
  parts.push(svg("path", { d: `M1 0V${tall}q0 2 2 2h12q2 0 2-2V0`, class: "glass" }));
  return svg("svg", { viewBox: "0 0 18 23", class: "vessel", role: "img", "aria-label": words }, ...parts);
}

export function figure(step, name, shown, label) {
  if (!shown || shown === "–") return h("span", { class: "nothing" }, "–");
  return h("button", {
    type: "button", class: "figure", tabindex: -1, "aria-label": `${label} of step ${step}: ${shown}; how it came about`,
    onclick: () => look(step, name),
  }, shown);
}

export function ledgerRow(step, level, roomy) {
  const n = step.number;
  const full = step.vessel ? `${step.volume} in the ${step.vessel}` : "no vessel";
  const made = h("div", { class: "row", role: "group", "aria-label": `Step ${n}`, "data-step": n },
    h("span", { class: "cell" }, figure(n, "peak temperature", step.peak.text, "peak temperature")),
    h("span", { class: "cell" }, figure(n, "end temperature", step.ends.text, "end temperature")),
    h("span", { class: "cell fill" }, step.vessel ? vessel(level, full) : "",
      figure(n, "volume", step.volume.replace(" of ", "/"), "volume")),
    h("span", { class: "cell" }, figure(n, "pH", step.ph.text, "pH")),
    h("span", { class: "cell" }, figure(n, "gas", step.gas, "gas")),
    h("span", { class: "cell" }, h("span", {}, step.takes)));
  const broken = step.limits.find((l) => !l.kept) ?? step.limits.find((l) => !l.sure);
  const words = broken ? `${broken.kept ? "~" : "✗"} ${broken.text}: ${broken.verdict}`
    : step.solids.length ? step.solids.join(", ") : "";
  if (words && roomy) made.append(h("span", { class: !broken ? "under" : broken.kept ? "under doubtful" : "under broken" }, words));
  made.addEventListener("pointerenter", () => point(n));
  made.addEventListener("pointerleave", () => point(0));
  return made;
}
