// What the events tell of the moment: the same rules as the server's, as far as
// the buttons, the clock and the strip need them.

// Events of one instant are taken in this order.
const kinds = ["start", "fill", "top_up", "change", "cast", "settled", "line_bite", "bite", "missed", "lost", "fish", "reading", "pause", "end", "withdraw"];

const compare = (a, b) => (a < b ? -1 : a > b ? 1 : 0);
const instant = (text) => new Date(text).getTime();
const written = (e) => instant(e.made_at || e.at);

// onClock tells what happened by the phone's clock as it is set now: by so many
// seconds in all, of which it had been set by some when this was told.
export function onClock(told, setS) {
  const byMs = (setS - (told.clock_set_s || 0)) * 1000;
  if (byMs === 0) return told;
  const moved = (text) => text && new Date(instant(text) + byMs).toISOString();
  return { ...told, at: moved(told.at), made_at: moved(told.made_at), clock_set_s: setS };
}

// inForce are the events that hold, by when they happened. An event gives way to
// the one that replaces it, of several to the one written last; a withdrawal
// leaves nothing, and one that is itself withdrawn never was.
export function inForce(events) {
  const byId = new Map(events.map((e) => [e.id, e]));
  const replacing = new Map();
  for (const e of events) {
    if (e.replaces) replacing.set(e.replaces, [...(replacing.get(e.replaces) || []), e]);
  }
  for (const rivals of replacing.values()) rivals.sort((a, b) => written(b) - written(a) || compare(b.id, a.id));
  const standing = (id) => {
    for (const rival of replacing.get(id) || []) {
      const e = standing(rival.id);
      if (e) return e.kind === "withdraw" ? null : e;
    }
    return byId.get(id);
  };
  const places = new Set(events.map((e) => e.replaces || e.id).filter((id) => !byId.get(id)?.replaces));
  return [...places].map(standing).filter((e) => e && e.kind !== "withdraw")
    .sort((a, b) => instant(a.at) - instant(b.at) || kinds.indexOf(a.kind) - kinds.indexOf(b.kind) || compare(a.id, b.id));
}

// undoable is the event that was written last of those that hold; the start is
// mended and not undone.
export const undoable = (events) =>
  inForce(events).filter((e) => e.kind !== "start").sort((a, b) => written(a) - written(b)).pop();

// What a cast came to: a fish outranks a loss, and that a bite.
const rank = { none: 0, line_bite: 1, bite: 2, missed: 3, lost: 4, fish: 5 };

// fold goes through the events once: phase is ready, flying, fishing, paused or
// ended; since is when that began, but for a cast the cast itself.
export function fold(events) {
  const s = { phase: "ready", since: null, settled: null, bitten: false, start: null, casts: [] };
  let cast = null;
  const windIn = (e, phase) => {
    if (cast && !cast.out) cast.out = e.at;
    Object.assign(s, { phase, since: e.at, settled: null, bitten: false });
  };
  for (const e of inForce(events)) {
    if (s.phase === "ended") break;
    switch (e.kind) {
      case "start": s.start = s.start || e; break;
      case "cast":
        windIn(e, "flying");
        cast = { from: e.at, bite: null, came: "none", fish: null, out: null };
        s.casts.push(cast);
        break;
      case "settled":
        if (s.phase !== "flying" || cast.bite) break;
        cast.from = s.settled = e.at;
        s.phase = "fishing";
        break;
      case "line_bite": case "bite": case "missed": case "lost": case "fish": happened(s, cast, e); break;
      case "fill": if (s.phase !== "paused") windIn(e, "ready"); break;
      case "pause": if (s.phase !== "paused") windIn(e, "paused"); break;
      case "end": windIn(e, "ended"); break;
    }
  }
  return s;
}

// happened is what the tip said. After the wind-in only the end of a fight may
// still be told of a cast.
function happened(s, cast, e) {
  if (!cast || cast.came === "fish") return;
  const inWater = !cast.out || instant(e.at) <= instant(cast.out);
  if (!inWater && !["missed", "lost", "fish"].includes(e.kind)) return;
  if (inWater && rank[cast.came] < rank.bite && (e.kind === "bite" || e.kind === "missed")) cast.bite = e.at;
  if (rank[e.kind] > rank[cast.came]) cast.came = e.kind;
  if (e.kind === "fish") cast.fish = e;
  if (!cast.out) s.bitten = e.kind === "bite" || (s.bitten && e.kind === "line_bite");
}
