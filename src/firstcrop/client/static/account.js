// The account of a run: yields, where the target went, what to do next.

import { h } from "./dom.js";
import { get } from "./net.js";

export async function accountPanel(panel, id) {
  panel.replaceChildren(h("p", { class: "quiet" }, "Working the account out…"));
  try {
    const found = await get(`/api/runs/${encodeURIComponent(id)}/account`);
    panel.replaceChildren(h("h2", {}, "Account"), ...found.verdicts.map((v) => h("p", { class: "warn" }, h("b", {}, v.message), ". ", v.hint)),
      table("Yield", ["crop", "basis", "target", "of theory"], found.yields.map((y) => [y.crop || "all", y.basis, y.mass, y.fraction])),
      shares(found.shares), h("ul", {}, ...found.figures.map((f) => h("li", {}, `${f.name}: ${f.shown}`))),
      found.second_crop ? h("p", {}, found.second_crop) : null);
  } catch (error) {
    panel.replaceChildren(h("p", { class: "warn" }, `No account: ${error.message}`));
  }
}

function table(caption, heads, rows) {
  if (!rows.length) return h("p", { class: "quiet" }, "No crop has been weighed yet.");
  return h("table", {}, h("caption", {}, caption), h("thead", {}, h("tr", {}, ...heads.map((t) => h("th", { scope: "col" }, t)))),
    h("tbody", {}, ...rows.map((r) => h("tr", {}, ...r.map((c) => h("td", {}, String(c)))))));
}

// Bars: each share of theory with its words; how it is known is said, not only coloured.
function shares(rows) {
  if (!rows.length) return null;
  const widest = Math.max(...rows.map((r) => Math.abs(r.part)));
  return h("div", { class: "shares" }, h("h3", {}, "Where the target is"), ...rows.map((r) => h("div", { class: "share" },
    h("span", {}, `${r.where} (${r.known})`), h("b", {}, `${r.mass}, ${r.fraction}`),
    h("meter", { min: 0, max: widest, value: Math.max(r.part, 0), "aria-label": r.where }))));
}
