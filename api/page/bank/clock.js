// Whether the phone's clock is set while the page is open. Beside the clock a
// browser counts the time since it opened the page, which nobody can set: where
// the two part between one look and the next, the clock was set. But most phones
// do not count on while they sleep, and then the clock seems set forward by the
// nap. So forward counts only where the screen was kept on from look to look.

import { keptOnSince } from "./awake.js";
import { change, get } from "./queue.js";

const mostPartedMs = 2000; // between two looks; our choice

// setBy is by how many ms the clock was set between two looks; 0 where it was
// not, or where the phone may have slept. Others may have counted some of it.
export function setBy(from, to, counted, keptOn) {
  const parted = to.wall - from.wall - (to.steady - from.steady) - counted;
  return Math.abs(parted) <= mostPartedMs || (parted > 0 && !keptOn) ? 0 : Math.round(parted);
}

const look = () => ({ wall: Date.now(), steady: performance.now() });

// All tabs count in one place, each what the others have not counted since its
// own last look, and a page that is opened again goes on from there.
let last = { ...look(), total: null };

// clockSetS is by how many seconds the clock has been set forward, since this
// phone began to count.
export async function clockSetS() {
  const counted = (await get("clock set by ms")) || 0; // also what other tabs have found out
  const from = last.total === null ? { ...last, total: counted } : last;
  const to = look();
  const keptOn = keptOnSince(from.steady);
  let total = counted;
  if (Math.abs(to.wall - from.wall - (to.steady - from.steady)) > mostPartedMs) {
    await change("clock set by ms", (held = 0) => (total = held + setBy(from, to, held - from.total, keptOn)));
  }
  if (to.steady > last.steady) last = { ...to, total };
  return total / 1000;
}
