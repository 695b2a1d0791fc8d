// Showing: what is heard now, drawn frame by frame — notes darkened, the mark moved, lines turned, the 1 flashed, and told.

import { chosenBars } from "./rounds.js";
import { rememberTempo } from "./settings.js";
import { spanWords, tempoWords } from "./words.js";

const FLASH_MS = 120;
const LEAST_BETWEEN_FLASHES_MS = 400;

/** Shows what a page plays. */
export class Showing {
  constructor(page) {
    this.page = page;
    this.calm = matchMedia("(prefers-reduced-motion: reduce)");
    this.clear();
  }

  clear() {
    this.waiting = [];
    this.span = null;
  }

  /** A stroke that was handed on, to be shown when it is heard. */
  add(sound, time) {
    this.waiting.push({ sound, time });
  }

  begin() {
    this.frame = requestAnimationFrame(() => this.draw());
  }

  end() {
    cancelAnimationFrame(this.frame);
  }

  draw() {
    const { page } = this;
    if (!page.isPlaying) return;
    const now = page.heard();
    page.staff.settle(now);
    const due = this.waiting.filter(({ time }) => time <= now);
    this.waiting = this.waiting.filter(({ time }) => time > now);
    for (const { sound, time } of due.sort((one, other) => one.time - other.time)) {
      const limbs = page.audible(sound).map(({ limb }) => page.limbOf(limb));
      if (limbs.length) page.staff.strike(sound, limbs, time);
    }
    const standing = page.playing.standing(now);
    if (standing) {
      if (standing.span !== this.span) this.turnTo(standing.span);
      page.staff.point(standing.span, Math.max(0, standing.place), { glide: !this.calm.matches });
    }
    this.begin();
  }

  // A new bar is heard.
  turnTo(span) {
    const { page } = this;
    const before = this.span;
    this.span = span;
    this.flash();
    this.turnLines();
    if (span.tempo !== null && span.tempo !== before?.tempo) {
      rememberTempo(page.phrase, span.tempo);
      page.controls.tempoNow(span.tempo);
      if (before) page.say(`${page.phrase.unit} ${tempoWords(span.tempo)}`);
    } else if (before && spanWords(span) !== spanWords(before)) page.say(spanWords(span));
    page.controls.where(spanWords(span), span.number);
  }

  turnLines() {
    const { phrase, set, staff } = this.page;
    const { pickup, body } = chosenBars(phrase, set);
    const numbers = body.map(({ number }) => number);
    const landing = staff.measures.find(({ role }) => role === "landing");
    const lands = landing && (set.times || set.ladder) && set.last === phrase.bars.at(-1)[0];
    const at = this.span?.kind === "bar" ? numbers.indexOf(this.span.number) : -1;
    const ahead = at < 0 ? [...(pickup ? [pickup.number] : []), ...numbers] : [...numbers.slice(at), ...numbers.slice(0, at)];
    if (lands && this.span?.kind === "landing") ahead.unshift(landing.bars[0]);
    else if (lands) ahead.push(landing.bars[0]);
    staff.turn(ahead);
  }

  flash() {
    const now = performance.now();
    if (!this.page.habits.flash || now - (this.flashed ?? -Infinity) < LEAST_BETWEEN_FLASHES_MS) return;
    this.flashed = now;
    document.body.classList.add("flash");
    setTimeout(() => document.body.classList.remove("flash"), FLASH_MS);
  }
}
