// A step's clock: how long it has run, how long it should, and a sound when that time is over.

import { $, h, say } from "./dom.js";

let shown = null; // { begun: ms, minutes, rung }
let sound = null;

export function loud() {
  const AudioContext = window.AudioContext || window.webkitAudioContext;
  if (AudioContext) { sound ??= new AudioContext(); sound.resume(); }
}

function ring() {
  if (!sound) return;
  for (let n = 0; n < 3; n += 1) {
    const tone = sound.createOscillator(), gain = sound.createGain(), at = sound.currentTime + 0.45 * n;
    tone.frequency.value = 880;
    gain.gain.setValueAtTime(0.3, at);
    gain.gain.exponentialRampToValueAtTime(0.001, at + 0.35);
    tone.connect(gain).connect(sound.destination);
    tone.start(at);
    tone.stop(at + 0.4);
  }
  navigator.vibrate?.([300, 150, 300]);
}

export function clock(begun, minutes) {
  if (!begun) { shown = null; return null; }
  shown = { begun, minutes, rung: Date.now() - begun > 60000 * minutes };
  return tell(h("p", { id: "clock", class: "clock", role: "timer" }));
}

function tick() {
  if ($("clock") && shown) tell($("clock"));
}

function tell(face) {
  const passed = (Date.now() - shown.begun) / 1000, left = 60 * shown.minutes - passed;
  const planned = shown.minutes >= 0.5;
  face.textContent = planned && left > 0 ? `${time(left)} left of ${time(60 * shown.minutes)}`
    : planned ? `${time(passed)}, ${time(-left)} over` : time(passed);
  face.dataset.over = planned && left <= 0;
  if (planned && left <= 0 && !shown.rung) { shown.rung = true; ring(); say("The time of this step is over."); }
  return face;
}

setInterval(tick, 500);

export function time(seconds) {
  const s = Math.max(0, Math.floor(seconds)), two = (n) => String(n).padStart(2, "0");
  return s >= 3600 ? `${Math.floor(s / 3600)}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}` : `${Math.floor(s / 60)}:${two(s % 60)}`;
}
