// Keys: what each key does, and a page-turn pedal's, which are keys too.

const KEYS = {
  " ": "toggle", Enter: "toggle", PageDown: "toggle", ArrowDown: "toggle",
  PageUp: "top", ArrowUp: "top", ArrowRight: "next", ArrowLeft: "previous",
};
const LETTERS = {
  e: "tempo", f: "faster", s: "slower", h: "half", t: "tap", a: "all", g: "ladder", p: "practice", o: "front",
  1: "R", 2: "L", 3: "K", 4: "H", c: "click", m: "count", l: "lefty", k: "sticking", n: "counts",
};
const REPEATED = new Set(["faster", "slower"]);
const PAGE_KEYS = new Set(["PageDown", "PageUp"]);

/** Does what keys ask for: `acts` by name, `isLetters` says whether letters are keys, `close` leaves the practice lines. */
export class Keys {
  constructor({ acts, isLetters, close }) {
    Object.assign(this, { acts, isLetters, close });
    document.addEventListener("keydown", (event) => this.press(event));
  }

  press(event) {
    const { key, target } = event;
    if (event.ctrlKey || event.altKey || event.metaKey || event.isComposing) return;
    if (target.matches?.("option")) return; // an open list has its own keys
    if (key === "Escape" && this.close()) return;
    if (this.isTheControlsOwn(event)) return;
    const act = KEYS[key] ?? (this.isLetters() && LETTERS[key.toLowerCase()]);
    if (!act || (event.repeat && !REPEATED.has(act))) return;
    event.preventDefault();
    this.acts[act]();
  }

  // Space and Enter press a button, and a blank is written in; but a pedal's page keys are never meant for either.
  isTheControlsOwn({ key, target }) {
    if (target.matches?.("input, select")) {
      const isText = target.tagName === "INPUT" && !target.matches('[type="checkbox"], [type="range"]');
      if (PAGE_KEYS.has(key) || (isText && key === "Enter")) target.blur(); // the blank is filled in
      return !PAGE_KEYS.has(key);
    }
    return Boolean(target.matches?.("button")) && (key === " " || key === "Enter");
  }
}
