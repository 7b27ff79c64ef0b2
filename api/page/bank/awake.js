// The screen stays on while a session goes on, where the phone allows it.

let lock = null;

export async function awake() {
  if (lock || document.visibilityState !== "visible" || !navigator.wakeLock) return;
  try {
    lock = await navigator.wakeLock.request("screen");
    lock.addEventListener("release", () => { lock = null; });
  } catch { /* the phone is saving its battery: the log goes on all the same */ }
}

export const rest = () => lock?.release();
