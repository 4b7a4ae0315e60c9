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

// One stop of the Tab key for many like things; the arrow keys go from one to the next, up and down
// to the nearest. What is returned is to be called when the things have changed.
export function rove(container, selector) {
  const all = () => [...container.querySelectorAll(selector)];
  const only = (one) => { for (const e of all()) e.tabIndex = e === one ? 0 : -1; };
  container.addEventListener("focusin", (event) => { if (event.target.matches(selector)) only(event.target); });
  container.addEventListener("keydown", (event) => {
    const list = all();
    const here = list.indexOf(event.target);
    const along = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    const across = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (here < 0 || !(along || across)) return;
    event.preventDefault();
    (along ? list[here + along] : beyond(list, event.target, across))?.focus();
  });
  return (first = null) => { if (!all().some((e) => e.tabIndex === 0)) only(first ?? all()[0]); };
}

function beyond(list, from, way) {
  const box = from.getBoundingClientRect();
  const far = (e) => { const b = e.getBoundingClientRect(); return 1e4 * Math.abs(b.top - box.top) + Math.abs(b.left - box.left); };
  return list.filter((e) => way * (e.getBoundingClientRect().top - box.top) > 8).sort((a, b) => far(a) - far(b))[0];
}
