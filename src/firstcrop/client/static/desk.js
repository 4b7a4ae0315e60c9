// What the page knows, and who wants to hear of a change.

const listeners = new Map();

export const desk = {
  name: "", seen: "", saved: "", // the file, the digest and the text last seen on disk
  live: null, // the rows beside the text they belong to
  liveText: "",
  step: 0, // the step looked at
  pointed: 0, // the step pointed at, 0 none
  focus: "", // name of the number whose working is asked for
};

export function on(event, work) {
  listeners.set(event, [...(listeners.get(event) ?? []), work]);
}

export function tell(event, detail) {
  for (const work of listeners.get(event) ?? []) work(detail);
}

export function point(step) {
  if (desk.pointed === step) return;
  desk.pointed = step;
  tell("pointed");
}

export function look(step, focus = "", show = true) {
  desk.step = step;
  desk.focus = focus;
  tell("looked", show);
}
