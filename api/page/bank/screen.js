// What is on the screen, made anew from what is known. Nothing here is kept.

import { signIn } from "./queue.js";

export const $ = (id) => document.getElementById(id);

// say writes a text only where it changed: a reader of the screen says it then.
export function say(id, text) {
  if ($(id).textContent !== text) $(id).textContent = text;
}

const words = {
  start: "Session begun", cast: "Cast made", recast: "Cast again, no feed", settled: "Settled", bite: "Bite", fish: "Fish landed", missed: "Missed it",
  lost: "Lost it", line_bite: "Line bite", fill: "Wound in, refilled", top_up: "Extra feed", pause: "Pause", end: "End session",
  reading: "Water temperature", change: "Change tackle", weigh: "Describe fish", feed: "What I feed", withdraw: "Taken back",
};
const groups = { silver: "silver fish", bream: "bream", carp: "carp" };

const clockTime = (at) => new Date(at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false });
const minutes = (from, to) => Math.max(0, (new Date(to) - new Date(from)) / 60000);

// What may happen next: the likeliest first and largest, then the others, then
// what is rare.
function acts({ state, undo }) {
  const { phase, bitten, casts } = state;
  const landed = phase === "fishing" && casts[casts.length - 1].came === "fish";
  const next = {
    ready: ["cast", "top_up"], paused: ["cast", "top_up"], flying: ["settled", "bite", "line_bite", "fill"],
    fishing: ["fill", "bite", "line_bite", "fish", "missed", "lost", "recast"],
  };
  const bite = ["fish", "missed", "lost", "fill", "line_bite"];
  const buttons = bitten ? bite : landed ? ["fill", "weigh", "recast"] : next[phase];
  const more = ["reading", "change", "feed", "end"];
  if (phase !== "paused") more.splice(2, 0, "pause");
  if (casts.some((c) => c.fish) && !landed) more.unshift("weigh");
  return { buttons: undo ? [...buttons, "undo"] : buttons, more };
}

// changed says whether a part of the screen must be made anew. A button that is
// replaced under a finger loses the touch.
const made = new Map();
function changed(part, of) {
  const text = JSON.stringify(of);
  if (made.get(part) === text) return false;
  made.set(part, text);
  return true;
}

export function showButtons(known, press) {
  const held = document.activeElement?.dataset.act;
  const shown = acts(known);
  if (!changed("buttons", [shown, known.undo?.kind, known.feed])) return;
  for (const group of ["buttons", "more"]) {
    $(group).replaceChildren(...shown[group].map((act, i) => {
      const b = button(label(act, known), () => press(act));
      if (group === "buttons" && i === 0) b.className = "main";
      b.dataset.act = act;
      return b;
    }));
  }
  if (held) (document.querySelector(`[data-act="${held}"]`) || $("buttons").firstChild).focus();
}

function label(act, { undo, feed }) {
  if (act === "undo") return `Undo: ${words[undo.kind].toLowerCase()}`;
  if (act === "feed" && feed.fill_g) return `Feed: ${feed.fill_g} g`;
  return words[act];
}

export function button(text, press) {
  const b = document.createElement("button");
  b.type = "button";
  b.textContent = text;
  b.addEventListener("click", press);
  return b;
}

export function row(...buttons) {
  const div = document.createElement("div");
  div.className = "row";
  div.append(...buttons);
  return div;
}

// strip shows the last casts, the newest first, in words.
const strip = 4;

export function showCasts({ casts }) {
  const ordered = casts.map((c, i) => [i + 1, c]).slice(-strip).reverse();
  $("strip").replaceChildren(...ordered.map(([n, c]) => {
    const li = document.createElement("li");
    li.value = n;
    li.textContent = told(c, new Date());
    return li;
  }));
  $("striphead").hidden = ordered.length === 0;
}

function told(c, now) {
  const came = { none: "no bite", line_bite: "line bites only", bite: "a bite", missed: "missed", lost: "lost", fish: "fish" }[c.came];
  const fish = c.fish ? [groups[c.fish.group], c.fish.fish_g && `${c.fish.fish_g} g`].filter(Boolean).join(", ") : "";
  const what = fish ? `${came}: ${fish}` : came;
  if (c.bite) return `${minutes(c.from, c.bite).toFixed(1)} min to the bite, ${what}`;
  return c.out ? `${minutes(c.from, c.out).toFixed(1)} min, ${what}` : `in the water since ${clockTime(c.from)}, ${what}`;
}

const spell = (from) => {
  const seconds = Math.floor(minutes(from, new Date()) * 60);
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
};

// showClock runs from the cast; how long the feeder has lain still stands beside.
export function showClock({ phase, since, settled }) {
  $("clock").textContent = since ? spell(since) : "0:00";
  const lain = settled ? `, ${spell(settled)} settled` : "";
  $("since").textContent = { ready: since ? "since the wind-in" : "no cast yet", paused: "of pause" }[phase] || `since the cast${lain}`;
}

const stale = 3; // minutes after which advice is said to be old

// showAdvice puts cautions first, and says how old all of it is.
export function showAdvice({ advice, offline }) {
  const level = { stop: "Stop", care: "Take care" };
  say("cautions", (advice?.cautions || []).filter((c) => level[c.level]).map((c) => `${level[c.level]}: ${c.text}`).join(" "));
  $("cautions").hidden = $("cautions").textContent === "";
  const first = advice?.advice?.[0];
  say("advice", first ? first.text : offline ? "No signal, so no advice yet. The log goes on." : "");
  const old = advice ? minutes(advice.at, new Date()) : 0;
  const age = old > stale ? `Said ${old.toFixed(0)} min ago${offline ? "; no signal since" : ""}.` : "";
  say("advicewhy", [first?.why, first?.sure && `${first.sure}.`, age].filter(Boolean).join(" "));
}

// showSending says what was logged last, and whether the server has it all.
export function showSending({ last, waiting, offline, complaint }) {
  const parts = [];
  if (last) parts.push(`${words[last.kind]}, ${clockTime(last.at)}.`);
  if (waiting) parts.push(`${waiting} not sent yet, kept in this phone${offline ? ": no signal" : ""}.`);
  else if (last) parts.push("All is sent.");
  if (complaint && waiting) parts.push(`The server does not take it: ${complaint}.`);
  say("sending", parts.join(" "));
  $("signin").hidden = !waiting || complaint !== signIn;
}

// showRefused lists each event that the server refused, why, and what may be
// done about it.
export function showRefused(refused, { again, mend }) {
  $("refused").hidden = refused.length === 0;
  if (!changed("refused", refused)) return;
  $("refusedlist").replaceChildren(...refused.map((entry) => {
    const li = document.createElement("li");
    li.textContent = `${words[entry.event.kind]}, ${clockTime(entry.event.at)}: ${entry.refused}.`;
    const done = entry.event.kind === "start" ? "Mend it" : "Take it back";
    li.append(row(button("Send again", () => again(entry)), button(done, () => mend(entry))));
    return li;
  }));
}

// showAfter sums the session up from what the phone knows.
export function showAfter({ session, state, record, waiting }) {
  const count = (test) => state.casts.filter(test).length;
  say("afterline", `Casts ${count(() => true)}, with a true bite ${count((c) => ["bite", "missed", "lost", "fish"].includes(c.came))}, fish ${count((c) => c.fish)}.`);
  const kept = record?.status && !waiting;
  $("summary").href = `/sessions/${encodeURIComponent(session)}`;
  $("summaryline").hidden = !kept || record.status === "refused";
  say("recordline", !kept ? "The record is made when the last event is sent." :
    record.status === "refused" ? `No record could be made of it: ${record.problem}. The events are kept.` : "The record is stored.");
}
