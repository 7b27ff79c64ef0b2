import { awake, rest } from "./awake.js";
import { clockSetS } from "./clock.js";
import { ask, asks } from "./forms.js";
import { entries, forget, get, keep, patienceMs, put, retry, send } from "./queue.js";
import { $, say, showAdvice, showAfter, showButtons, showCasts, showClock, showRefused, showSending } from "./screen.js";
import { fold, inForce, onClock, undoable } from "./state.js";

const newID = (prefix) => `${prefix}-${[...crypto.getRandomValues(new Uint8Array(10))].map((b) => b.toString(16).padStart(2, "0")).join("")}`;

// known is what the screen shows. All of it but the last two comes from the
// phone's store, so that every tab shows the same. Times are by the clock as it
// is set now.
const known = {
  setS: 0, session: null, events: [], state: fold([]), undo: null, last: null, waiting: 0, refused: [], feed: {}, advice: null, record: null,
  complaint: "", offline: false,
};
let mending = null; // the refused start that the first form mends

// Other tabs look again when this one wrote.
const tabs = new BroadcastChannel("osier-bank");
tabs.onmessage = () => show();

async function show() {
  const [setS, all, session, feed, advice] = await Promise.all([clockSetS(), entries(), get("current"), get("feed"), get("advice")]);
  const record = session && (await get(`record ${session}`));
  const events = all.filter((e) => e.session === session).map((e) => onClock(e.event, setS));
  const replaced = new Set(all.map((e) => e.event.replaces));
  Object.assign(known, {
    setS, session, events, record, feed: feed || {}, state: fold(events), undo: undoable(events),
    last: events.reduce((a, b) => (a && a.made_at > b.made_at ? a : b), null),
    waiting: all.filter((e) => !e.sent && !e.refused).length,
    refused: all.filter((e) => e.refused && !replaced.has(e.event.id)),
    advice: advice && advice.session === session ? onClock(advice, setS) : null,
  });
  draw();
}

function draw() {
  const ended = known.state.phase === "ended";
  $("begin").hidden = Boolean(known.session) && !mending;
  $("fishing").hidden = !known.session || ended || Boolean(mending);
  $("after").hidden = !known.session || !ended || Boolean(mending);
  showSending(known);
  showRefused(known.refused, { again, mend });
  if (!known.session) return;
  if (ended) {
    rest();
    return showAfter(known);
  }
  showButtons(known, press);
  showCasts(known.state);
  showAdvice(known);
  showClock(known.state);
}

// Two touches within half a second are one: a cold hand shakes, and the button
// under it is another by then. Our choice.
const shakeMs = 500;
let touched = 0;

function shaken() {
  const since = performance.now() - touched;
  if (since >= shakeMs) touched = performance.now();
  return since < shakeMs;
}

function press(act) {
  if (shaken()) return undefined;
  const { feed } = known;
  const fish = inForce(known.events).filter((e) => e.kind === "fish").pop();
  if (asks(act)) return ask(act, { weigh: fish, feed, top_up: feed }[act] || {}, (figures) => shaken() || asked(act, figures, fish));
  switch (act) {
    case "undo": return known.undo && log({ kind: "withdraw", replaces: known.undo.id });
    case "recast": return log({ kind: "cast" });
    case "fill": return log({ kind: "fill", ...feed });
    case "fish": return log({ kind: "fish", group: known.state.start?.start.group });
    default: return log({ kind: act });
  }
}

function asked(act, figures, fish) {
  if (act === "feed") return put("feed", figures).then(show);
  if (act === "weigh") return log({ kind: "fish", at: fish.at, clock_set_s: fish.clock_set_s, replaces: fish.id, ...figures });
  const { capacity_ml, ...event } = figures;
  if (capacity_ml !== undefined) event.feeder = { capacity_ml };
  return log({ kind: act, ...event });
}

// log keeps an event in the phone before anything else happens, and says whether
// it could.
async function log(event, session = known.session) {
  const now = new Date().toISOString();
  try {
    const setS = await clockSetS();
    const made_at = new Date().toISOString();
    const { at } = event.at ? onClock({ at: event.at, clock_set_s: event.clock_set_s ?? known.setS }, setS) : { at: made_at };
    await keep(session, { id: newID("e"), ...event, at, made_at, clock_set_s: setS });
  } catch (fault) {
    say("lost", `This was NOT kept, write it down: ${event.kind}, ${now}. ${fault}`);
    return false;
  }
  awake();
  await show();
  tabs.postMessage("kept");
  flush();
  return true;
}

async function again(entry) {
  await retry(entry);
  flush();
}

async function mend(entry) {
  if (entry.event.kind !== "start") return log({ kind: "withdraw", replaces: entry.event.id }, entry.session);
  mending = entry;
  const { water, angler, group, peg, plan_id, planned_rate_g_h, opening } = entry.event.start;
  fillIn({ water, angler, group, peg, plan: plan_id, rate: planned_rate_g_h, fills: opening?.fills });
  await show();
  $("begin").water.focus();
}

async function flush() {
  try {
    known.complaint = await send(clockSetS);
    known.offline = false;
    await refreshAdvice();
  } catch {
    known.offline = true;
  }
  await show();
  tabs.postMessage("sent");
}

async function refreshAdvice() {
  const { session, state } = known;
  if (!session || state.phase === "ended" || !state.casts.length) return;
  const answer = await fetch(`/v1/sessions/${encodeURIComponent(session)}/advice`, { signal: AbortSignal.timeout(patienceMs) });
  if (!answer.ok) return;
  const { cautions, advice } = await answer.json();
  await put("advice", { session, cautions, advice, at: new Date().toISOString(), clock_set_s: known.setS });
}

// waters offers the names that are known, from the last time there was a signal.
async function waters() {
  let list = (await get("waters")) || [];
  try {
    const answer = await fetch("/v1/waters?limit=200", { signal: AbortSignal.timeout(patienceMs) });
    if (answer.ok) {
      list = (await answer.json()).waters.map(({ id, name }) => ({ id, name }));
      await put("waters", list);
    }
  } catch { known.offline = true; }
  $("waters").replaceChildren(...list.map(({ id, name }) => new Option(name, id)));
  if (list.length === 1 && !$("begin").water.value) fillIn({ water: list[0].id });
}

function fillIn(values) {
  for (const [name, value] of Object.entries(values)) $("begin").elements[name].value = value ?? "";
}

$("begin").addEventListener("submit", async (submitted) => {
  submitted.preventDefault();
  if (shaken()) return;
  const { water, angler, group, peg, plan, rate, fills } = Object.fromEntries(new FormData($("begin")));
  const figure = (value) => (value.trim() === "" ? undefined : Number(value.replace(",", ".")));
  const start = { water: water.trim(), angler: angler.trim(), group, peg: peg.trim() || undefined, plan_id: plan.trim() || undefined, planned_rate_g_h: figure(rate) };
  if (figure(fills) !== undefined) start.opening = { fills: figure(fills) };
  await put("before", { water: start.water, angler: start.angler, group });
  const old = mending;
  mending = null;
  if (old) {
    await log({ kind: "start", start, at: onClock(old.event, known.setS).at, replaces: old.event.id }, old.session);
    return;
  }
  const session = newID("s");
  if (!(await log({ kind: "start", start }, session))) return;
  await put("current", session);
  await forget(session);
  await show();
  navigator.storage?.persist?.();
  $("buttons").querySelector("button").focus();
});

$("goon").addEventListener("click", () => press("undo"));
$("another").addEventListener("click", async () => {
  await put("current", null);
  await show();
  tabs.postMessage("kept");
  $("begin").water.focus();
});

document.addEventListener("visibilitychange", () => {
  if (document.visibilityState !== "visible") return;
  if (known.session) awake();
  flush();
});
window.addEventListener("online", flush);
window.addEventListener("offline", flush);

try {
  fillIn((await get("before")) || {});
  await show();
} catch (fault) {
  say("lost", `This browser keeps nothing, so nothing can be logged here. ${fault}`);
}
if (known.session) awake();
setInterval(async () => {
  if (!known.session || known.state.phase === "ended") return;
  if ((await clockSetS()) !== known.setS) await show();
  showClock(known.state);
}, 1000);
setInterval(flush, 30000);
try {
  await navigator.serviceWorker.register("/bank/sw.js", { scope: "/bank" });
} catch {
  say("notkept", "This browser does not keep the page itself: leave it open, for without a signal it opens again only over https.");
}
await waters();
await flush();
document.documentElement.dataset.ready = "yes";
