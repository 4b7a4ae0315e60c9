// Readings on this device until the server has them on its disk: kept in IndexedDB, sent in order, each
// with a key of its own, so that one sent twice is recorded once. A reload or a dead battery loses none.

import { Refused, post } from "./net.js";

const AGAIN = [1000, 2000, 4000, 8000, 15000]; // ms between tries
let opened = null;
let sending = false;
let failures = 0;
let timer = 0;
let heard = () => {};

function request(asked) {
  return new Promise((done, failed) => {
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error);
  });
}

async function store(mode) {
  if (!opened) {
    const asked = indexedDB.open("firstcrop-bench", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("waiting", { keyPath: "order", autoIncrement: true });
    opened = request(asked);
  }
  return (await opened).transaction("waiting", mode, { durability: "strict" }).objectStore("waiting");
}

function finished(objects) {
  return new Promise((done, failed) => {
    objects.transaction.oncomplete = done;
    objects.transaction.onerror = () => failed(objects.transaction.error);
  });
}

export function key() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((b) => b.toString(16).padStart(2, "0")).join("");
}

// Resolves when the device has it; `photo` is a Blob or null.
export async function keep(run, reading, photo = null) {
  const objects = await store("readwrite");
  objects.add({ run, reading, photo });
  await finished(objects);
  send();
}

export async function waiting(run) {
  const all = await request((await store("readonly")).getAll());
  return all.filter((item) => item.run === run);
}

async function forget(items) {
  const objects = await store("readwrite");
  for (const item of items) objects.delete(item.order);
  await finished(objects);
}

async function uploaded(item) {
  const answer = await fetch("/api/photos", {
    method: "POST", body: item.photo, headers: { "content-type": item.photo.type }, credentials: "same-origin",
  });
  const body = await answer.json().catch(() => null);
  if (!answer.ok) throw new Refused(answer.status, body);
  item.reading.photo = body.photo;
  item.photo = null;
  const objects = await store("readwrite");
  objects.put(item);
  await finished(objects);
}

// Everything that waits, run by run, in the order it was taken.
export async function send() {
  if (sending) return;
  sending = true;
  clearTimeout(timer);
  try {
    for (;;) {
      const all = await request((await store("readonly")).getAll());
      if (!all.length) break;
      const run = all[0].run;
      const batch = all.filter((item) => item.run === run).slice(0, 100);
      for (const item of batch) if (item.photo) await uploaded(item);
      const answer = await post(`/api/runs/${encodeURIComponent(run)}/readings`, { readings: batch.map((item) => item.reading) });
      const kept = new Set(answer.receipts.map((r) => r.key));
      await forget(batch.filter((item) => kept.has(item.reading.key)));
      failures = 0;
      heard({ connected: true, run, problems: answer.problems });
    }
    heard({ connected: true });
  } catch (error) {
    // a refusal will not pass by itself: it is shown, and the readings stay on the device
    heard({ connected: error instanceof Refused, error });
    timer = setTimeout(send, AGAIN[Math.min(failures, AGAIN.length - 1)]);
    failures += 1;
  } finally {
    sending = false;
  }
}

export function listen(work) {
  heard = work;
  addEventListener("online", send);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });
}
