// Elements made from text only: nothing a sheet says is ever read as markup.

export const $ = (id) => document.getElementById(id);

export function h(tag, props = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(props)) {
    if ((value === false && !name.startsWith("aria-")) || value === null || value === undefined) continue;
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (name === "class") made.className = value;
    else made.setAttribute(name, value === true && !name.startsWith("aria-") ? "" : String(value));
  }
  made.append(...children.flat().filter((c) => c !== null && c !== undefined && c !== false && c !== ""));
  return made;
}

export function svg(tag, props = {}, ...children) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(props)) made.setAttribute(name, String(value));
  made.append(...children);
  return made;
}

export function later(wait, work) {
  let timer = 0;
  const call = () => { clearTimeout(timer); timer = setTimeout(work, wait); };
  call.stop = () => clearTimeout(timer);
  return call;
}

export function say(words) { $("said").textContent = words; }

export function count(n, word) { return `${n} ${word}${n === 1 ? "" : "s"}`; }
