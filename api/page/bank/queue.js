// The log in the phone: every event is kept here first and sent when there is a
// signal. Nothing leaves this store before the server has said what became of it.

const opening = new Promise((resolve, reject) => {
  const request = indexedDB.open("osier-bank", 1);
  request.onupgradeneeded = () => {
    request.result.createObjectStore("events", { keyPath: ["session", "event.id"] });
    request.result.createObjectStore("state");
  };
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

// store resolves when the disk has what was written: a phone may die at once.
async function store(name, mode, work) {
  const db = await opening;
  return new Promise((resolve, reject) => {
    const transaction = db.transaction(name, mode, { durability: "strict" });
    const request = work(transaction.objectStore(name));
    transaction.oncomplete = () => resolve(request.result);
    transaction.onerror = transaction.onabort = () => reject(transaction.error);
  });
}

export const get = (key) => store("state", "readonly", (s) => s.get(key));
export const put = (key, value) => store("state", "readwrite", (s) => s.put(value, key));

// change makes a value anew of what is held; no other tab comes between.
export const change = (key, made) => store("state", "readwrite", (s) => {
  const held = s.get(key);
  held.onsuccess = () => s.put(made(held.result), key);
  return held;
});

// An entry is an event with its session, and what became of it: neither sent nor
// refused while it waits.
export const entries = () => store("events", "readonly", (s) => s.getAll());
const write = (entry) => store("events", "readwrite", (s) => s.put(entry));
export const keep = (session, event) => write({ session, event, sent: false, refused: "" });
export const retry = (entry) => write({ ...entry, refused: "" });

// forget drops what the server has of other sessions.
export async function forget(current) {
  for (const { session, event, sent } of await entries()) {
    if (sent && session !== current) await store("events", "readwrite", (s) => s.delete([session, event.id]));
  }
}

const mostAtOnce = 200; // the server takes 500
export const patienceMs = 20000;

// send posts what waits, of every session, and notes what became of each event;
// clock says by how much the phone's clock has been set. It is safe to repeat, and for two tabs at once: the server knows an event by
// its id. It gives the server's complaint about a whole batch, empty for none,
// and throws where there is no signal. One round follows another.
let last = Promise.resolve();
export function send(clock) {
  const next = () => round(clock);
  return (last = last.then(next, next));
}

async function round(clock) {
  const bySession = new Map();
  for (const e of await entries()) {
    if (!e.sent && !e.refused) bySession.set(e.session, [...(bySession.get(e.session) || []), e]);
  }
  let complaint = "";
  for (const [session, waiting] of bySession) {
    for (let i = 0; i < waiting.length; i += mostAtOnce) {
      complaint = (await sendBatch(session, waiting.slice(i, i + mostAtOnce), await clock())) || complaint;
    }
  }
  return complaint;
}

// signIn is the complaint that a person mends by signing in.
export const signIn = "nobody is signed in here";

async function sendBatch(session, batch, clock_set_s) {
  const answer = await fetch(`/v1/sessions/${encodeURIComponent(session)}/events`, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ sent_at: new Date().toISOString(), clock_set_s, events: batch.map((e) => e.event) }),
    signal: AbortSignal.timeout(patienceMs),
  });
  if (answer.status === 401) return signIn;
  const said = await answer.json();
  if (!answer.ok) return [said.detail || `status ${answer.status}`, said.right].filter(Boolean).join("; ");
  for (const o of said.outcomes) {
    const entry = batch.find((e) => e.event.id === o.id);
    if (!entry) continue;
    const refused = o.status === "refused" ? [o.wrong, o.right].filter(Boolean).join("; ") || "no reason given" : "";
    await write({ ...entry, sent: !refused, refused });
  }
  await put(`record ${session}`, said.record);
  return "";
}
