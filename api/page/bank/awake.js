// The screen stays on while a session goes on, where the phone allows it.

let lock = null;
let since = 0; // when it was had, by the count that nobody can set

export async function awake() {
  if (lock || document.visibilityState !== "visible" || !navigator.wakeLock) return;
  try {
    lock = await navigator.wakeLock.request("screen");
    since = performance.now();
    lock.addEventListener("release", () => { lock = null; });
  } catch { /* the phone is saving its battery: the log goes on all the same */ }
}

// keptOnSince says whether the phone cannot have slept from that moment on.
export const keptOnSince = (steady) => lock !== null && since <= steady && document.visibilityState === "visible";

export const rest = () => lock?.release();
