// Keeping: what a page remembers on this device. A browser may refuse; then nothing is remembered, and nothing breaks.

const PREFIX = "drumgen ";

export function recall(name) {
  try {
    return JSON.parse(localStorage.getItem(PREFIX + name));
  } catch {
    return null;
  }
}

export function keep(name, value) {
  try {
    localStorage.setItem(PREFIX + name, JSON.stringify(value));
  } catch {
    // a device that keeps nothing still plays
  }
}

/** Keeps the screen awake while it is asked to, where the browser can. */
export class Awake {
  constructor() {
    this.wanted = false;
    document.addEventListener("visibilitychange", () => this.hold());
  }

  want(wanted) {
    this.wanted = wanted;
    if (wanted) this.hold();
    else this.letGo();
  }

  async hold() {
    if (!this.wanted || this.lock || document.visibilityState !== "visible") return;
    try {
      this.lock = await navigator.wakeLock.request("screen");
      this.lock.addEventListener("release", () => {
        this.lock = null;
      });
      if (!this.wanted) this.letGo();
    } catch {
      this.lock = null; // no such thing here, or not now
    }
  }

  letGo() {
    this.lock?.release();
    this.lock = null;
  }
}
