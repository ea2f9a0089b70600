/* The noticeboard: pairs itself, asks once a minute, keeps the last good answer, turns its faces. */
"use strict";

const WEEK_AT = "/api/v1/noticeboard/";
const PAIR_AT = "/api/v1/screen/pairings/";
const FETCH_AT = "/api/v1/screen/pairings/token/";
const TOKEN = "commonrow.screen.token";
const KEPT = "commonrow.screen.kept";
const MINUTE_MS = 60000;
const LONGEST_MS = 15 * MINUTE_MS;
const OLD_MS = 24 * 60 * MINUTE_MS;
const FACE_MS = 12000;
const ANSWER_MS = 20000;
const RELOAD_HOUR = 3;
const DO = {
  warm: "Warm the ground for", sow: "Sow or plant", cover: "Cover", weed: "Weed", thin: "Thin",
  necks: "Check the necks of", lift: "Lift or pick", store: "Store", resow: "Sow the next row of",
};

const page = document.documentElement;
const part = name => document.querySelector(".board-" + name);
const stillness = matchMedia("(prefers-reduced-motion: reduce)");
let faces = [], up = 0, held = false, failures = 0, kept = read(KEPT), shown = "";

/* What the browser keeps. A browser that keeps nothing still shows the week until it is turned off. */
function read(name) {
  try { return JSON.parse(localStorage.getItem(name)); } catch (fault) { return null; }
}
function keep(name, value) {
  try { value === null ? localStorage.removeItem(name) : localStorage.setItem(name, JSON.stringify(value)); } catch (fault) { /* full or forbidden */ }
}
let token = read(TOKEN);

/* Asking. Whatever is not a clear answer of this server counts as no answer. */
async function ask(method, path, word, etag) {
  const headers = { Accept: "application/json, application/problem+json" };
  if (word) headers.Authorization = "Bearer " + word;
  if (etag) headers["If-None-Match"] = etag;
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), ANSWER_MS);
  try {
    const answer = await fetch(path, { method, headers, signal: stop.signal, cache: "no-store", credentials: "omit", redirect: "error" });
    const body = answer.status === 304 ? null : await answer.json();
    return { status: answer.status, body, etag: answer.headers.get("ETag"), waitMs: 1000 * (Number(answer.headers.get("Retry-After")) || 0) };
  } catch (fault) {
    return { status: 0, body: null, etag: null, waitMs: 0 };
  } finally {
    clearTimeout(timer);
  }
}
function later(work, ms) { setTimeout(work, ms); }
function jittered(ms) { return ms * (0.8 + 0.4 * Math.random()); }
function backOff(waitMs) {
  failures += 1;
  return Math.min(LONGEST_MS, Math.max(waitMs, jittered(MINUTE_MS * 2 ** Math.min(failures - 1, 4))));
}

async function poll() {
  if (!token) return pair();
  const answer = await ask("GET", WEEK_AT, token, kept && kept.etag);
  let pause = jittered(MINUTE_MS);
  if (answer.status === 200 && answer.body && answer.body.site && Array.isArray(answer.body.week)) {
    kept = { etag: answer.etag, at: Date.now(), body: answer.body };
    failures = 0;
  } else if (answer.status === 304 && kept) {
    kept.at = Date.now();
    failures = 0;
  } else if (answer.status === 401) {
    token = kept = null;
    keep(TOKEN, null);
  } else {
    pause = backOff(answer.waitMs);
  }
  keep(KEPT, kept);
  if (!token) return pair();
  draw();
  later(poll, pause);
}

/* Pairing. The secret stays in this page's memory; the code alone opens nothing. */
async function pair() {
  const answer = await ask("POST", PAIR_AT);
  if (answer.status !== 201) {
    const said = answer.body && answer.body.detail;
    say([face("No code yet", [said || "The server does not answer. This screen asks again by itself."])]);
    return later(pair, backOff(answer.waitMs));
  }
  failures = 0;
  const { code, secret, lives_s: livesS, poll_after_s: pollS } = answer.body;
  const half = code.length / 2;
  const face_ = face("This screen is not paired", [`Somebody of the committee opens ${location.host}/screens/ and types`]);
  face_.append(element("p", "face-code", `${code.slice(0, half)} ${code.slice(half)}`));
  const fetchWith = async () => {
    const told = await ask("POST", FETCH_AT, secret);
    if (told.status === 200 && told.body.state === "paired") {
      token = told.body.token;
      keep(TOKEN, token);
      return poll();
    }
    if ((told.status === 200 && told.body.state === "over") || told.status === 401 || told.status === 410) return pair();
    if (told.status === 0 && Date.now() > ends) return pair();
    if (told.status === 200) say([face_]);
    later(fetchWith, told.status === 200 ? pollS * 1000 : Math.max(told.waitMs, jittered(MINUTE_MS)));
  };
  const ends = Date.now() + livesS * 1000;
  return fetchWith();
}

/* Days. The server names the day at the site; from then on it is counted by the site's own clock. */
function inZone(ms, zone, form) { return new Intl.DateTimeFormat("en-GB", { timeZone: zone, ...form }).format(ms); }
function dayNumber(ms, zone) {
  const [day, month, year] = inZone(ms, zone, { day: "2-digit", month: "2-digit", year: "numeric" }).split("/").map(Number);
  return Date.UTC(year, month - 1, day) / 86400000;
}
function dayOf(text) { return Date.parse(text) / 86400000; }
function dayWords(day) { return inZone(day * 86400000, "UTC", { weekday: "long", day: "numeric", month: "long" }).replace(/(\d+) /, "$1\u00a0"); }
function today() {
  const zone = kept.body.site.zone;
  return dayOf(kept.body.today) + Math.max(0, dayNumber(Date.now(), zone) - dayNumber(kept.at, zone));
}
function whenWords(job, day) {
  const start = dayOf(job.from), by = dayOf(job.by);
  if (by < day) return "late since " + dayWords(by);
  if (start > day) return "from " + dayWords(start);
  return by === day ? "today at the latest" : "by " + dayWords(by);
}
function plotWords(plots) { return (plots.length === 1 ? "plot\u00a0" : "plots ") + plots.join(", "); }
function count(n, one, many) { return `${n} ${n === 1 ? one : many}`; }

/* Faces. Text goes in as text, never as mark-up. */
function element(tag, name, text) {
  const made = document.createElement(tag);
  if (name) made.className = name;
  if (text !== undefined) made.textContent = text;
  return made;
}
function face(title, lines = [], urgent = false) {
  const made = element("section", "face");
  made.append(element("h2", urgent ? "is-urgent" : "", title), ...lines.map(line => element("p", "face-text", line)));
  return made;
}
function dayFace(body, day) {
  const jobs = body.week, plots = new Set(jobs.map(job => job.plot)), late = jobs.filter(job => dayOf(job.by) < day).length;
  const lines = [];
  if (body.season && day === dayOf(body.today)) lines.push(`Week ${body.season.week} of the season ${body.season.name}`);
  if (!jobs.length) lines.push("Nothing falls due this week.");
  else lines.push(`${body.week_is_cut ? "More than " : ""}${count(jobs.length, "job falls", "jobs fall")} due on ${count(plots.size, "plot", "plots")} in the coming seven days.`);
  if (late) lines.push(count(late, "of them is late.", "of them are late."));
  return face(dayWords(day), lines);
}
function entriesOf(jobs, day) {
  const groups = new Map();
  for (const job of jobs) {
    const what = DO[job.kind] ? job.crop : job.title, when = whenWords(job, day), key = what + "\n" + when;
    const group = groups.get(key) || groups.set(key, { what, when, plots: [], late: dayOf(job.by) < day }).get(key);
    if (!group.plots.includes(job.plot)) group.plots.push(job.plot);
  }
  return [...groups.values()];
}
function entry({ what, when, plots, late }) {
  const line = element("li");
  line.append(element("strong", "", what), `: ${plotWords(plots)}, `, element("span", "face-when" + (late ? " is-late" : ""), when));
  return line;
}
function jobFaces(body, day) {
  const made = [], kinds = new Map();
  for (const job of body.week) kinds.set(job.kind, [...(kinds.get(job.kind) || []), job]);
  for (const [kind, jobs] of kinds) {
    const title = DO[kind] || "Also due", waiting = entriesOf(jobs, day);
    while (waiting.length) made.push(fill(face(title), waiting));
    const cautions = new Set(jobs.flatMap(job => job.cautions || []));
    for (const text of cautions) made.push(...textFaces("Take care", [text]));
  }
  return made;
}
/* A text that is too long for one face goes over several, parted at the sentence nearest its middle. */
function textFaces(title, [text, ...rest], urgent = false) {
  const made = face(title, [text, ...rest], urgent);
  part("faces").append(made);
  const cuts = [/[.!?] /g, /[;:,] /g, / /g].map(mark => [...text.matchAll(mark)].map(found => found.index + 1)).find(found => found.length);
  if (!isOver(made) || !cuts) return [made];
  const cut = cuts.reduce((best, each) => (Math.abs(each - text.length / 2) < Math.abs(best - text.length / 2) ? each : best));
  return [...textFaces(title, [text.slice(0, cut)], urgent), ...textFaces(title, [text.slice(cut + 1), ...rest], urgent)];
}
function isOver(made) { return !page.classList.contains("board-still") && made.scrollHeight > made.clientHeight + 1; }
/* As many entries as the face holds; one that is too long for a face of its own is parted by its plots. */
function fill(made, waiting) {
  const list = element("ul");
  made.append(list);
  part("faces").append(made);
  while (waiting.length) {
    list.append(entry(waiting[0]));
    if (isOver(made)) {
      list.lastChild.remove();
      if (list.children.length) break;
      const { plots } = waiting[0], half = Math.ceil(plots.length / 2);
      if (plots.length > 1) {
        waiting.splice(0, 1, { ...waiting[0], plots: plots.slice(0, half) }, { ...waiting[0], plots: plots.slice(half) });
        continue;
      }
      list.append(entry(waiting[0]));
    }
    waiting.shift();
  }
  return made;
}
/* What is short is set larger, as far as the face holds it. */
function grow(made) {
  for (const size of ["is-huge", "is-large", "is-roomy"]) {
    made.classList.add(size);
    if (!isOver(made)) return;
    made.classList.remove(size);
  }
}
function groundFaces(body) {
  if (!body.ground || !body.ground.length) return [];
  const sum = name => body.ground.reduce((total, plot) => total + plot[name], 0);
  const all = sum("short") + sum("broken"), plots = body.ground.map(row => row.plot);
  const line = `${count(all, "sowing stands", "sowings stand")} on ground that has not rested long enough from the same family: ${plotWords(plots)}.`;
  return textFaces("Let the ground rest", [line]);
}
function noticeFaces(body, day) {
  const current = (body.notices || []).filter(notice => dayOf(notice.until) >= day);
  const urgentFirst = [...current].sort((one, other) => Number(other.is_urgent) - Number(one.is_urgent));
  return urgentFirst.flatMap(notice => textFaces(notice.is_urgent ? "Urgent" : "Notice", [notice.text, "Until " + dayWords(dayOf(notice.until))], notice.is_urgent));
}

/* Showing. */
function draw() {
  if (!kept) return void say([face("Nothing to show yet", ["The server does not answer. This screen asks again by itself."])]);
  const { body } = kept, day = today();
  part("site").textContent = body.site.name;
  part("day").textContent = dayWords(day);
  tellAge();
  const seen = JSON.stringify([body, day, innerWidth, innerHeight, stillness.matches]);
  if (seen === shown) return;
  part("faces").replaceChildren();
  const notices = noticeFaces(body, day), urgent = notices.filter(made => made.querySelector(".is-urgent"));
  say([...urgent, dayFace(body, day), ...jobFaces(body, day), ...groundFaces(body), ...notices.filter(made => !urgent.includes(made))]);
  faces.forEach(grow);
  shown = seen;
}
function tellAge() {
  const zone = kept.body.site.zone, age = Date.now() - kept.at, time = inZone(kept.at, zone, { hour: "2-digit", minute: "2-digit" });
  // A clock that was put back says nothing about age, so the day is named and the answer counts as old.
  const old = age > OLD_MS || age < -5 * MINUTE_MS;
  const since = dayOf(kept.body.today);  // an unchanged answer is confirmed on its own day only
  page.classList.toggle("board-old", old);
  part("as-of").textContent = (old ? "Old: as of " : "as of ") + (since === today() && !old ? "" : dayWords(since) + ", ") + time;
}
function say(made) {
  shown = "";
  if (!kept) {
    part("site").textContent = "Noticeboard";
    part("day").textContent = part("as-of").textContent = "";
    page.classList.remove("board-old");
  }
  faces = made;
  up = Math.min(up, faces.length - 1);
  part("faces").replaceChildren(...faces);
  part("hold").hidden = faces.length < 2 || stillness.matches;
  showFace();
}
function showFace() {
  faces.forEach((each, at) => each.classList.toggle("is-up", at === up));
  part("turn").textContent = faces.length > 1 && !stillness.matches ? `${up + 1} of ${faces.length}` : "";
}
function turn() {
  if (!held && !stillness.matches && faces.length > 1) {
    up = (up + 1) % faces.length;
    showFace();
  }
}
function beStill() { page.classList.toggle("board-still", stillness.matches); }
/* Every night a fresh page, but only where one will come: from the server or from the worker. */
function nightly() {
  const now = new Date(), next = new Date(now);
  next.setHours(RELOAD_HOUR, Math.floor(Math.random() * 30), 0, 0);
  if (next <= now) next.setDate(next.getDate() + 1);
  later(async () => {
    const comes = await fetch(location.pathname, { cache: "no-store" }).then(answer => answer.ok, () => false);
    comes ? location.reload() : nightly();
  }, next - now);
}

part("hold").addEventListener("click", event => {
  held = !held;
  event.target.textContent = held ? "Turn the faces again" : "Hold this face";
});
addEventListener("resize", () => kept && token && draw());
stillness.addEventListener("change", () => { beStill(); if (kept && token) draw(); });
if (navigator.serviceWorker) navigator.serviceWorker.register("/screen/service-worker.js").catch(() => { /* kept away by the browser: then without */ });
beStill();
if (token && kept) draw();
else say([face("One moment", ["This screen asks the server for the week."])]);
setInterval(turn, FACE_MS);
setInterval(() => kept && token && draw(), MINUTE_MS / 2);
nightly();
poll();
