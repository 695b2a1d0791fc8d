// Playing: a phrase in time. Everything is worked out ahead, from written places and feel to seconds of the audio
// clock, and handed on until a horizon; nothing waits for a timer of its own.

import { moveNotes, notesOf, soundsOf } from "./feel.js";
import { beginning, nextSpan } from "./rounds.js";

const GRAINS_A_QUARTER = 10080;
const US_A_MINUTE = 60_000_000;
const RAMP_GRAINS = 2520;
const AHEAD_S = 1;
const KEPT_S = 4;

/** Grains to seconds and back: from each mark on, a quarter note lasts so many microseconds. */
class Clock {
  constructor(time) {
    this.origin = time;
    this.marks = [];
  }

  push(at, us) {
    const last = this.marks.at(-1);
    const time = last ? this.timeOf(at) : this.origin;
    this.marks.push({ at, time, us });
  }

  cut(at) {
    while (this.marks.length && this.marks.at(-1).at >= at) this.marks.pop();
  }

  forget(at) {
    while (this.marks.length > 1 && this.marks[1].at < at) this.marks.shift();
  }

  timeOf(at) {
    const mark = this.marks.findLast((each) => each.at <= at) ?? this.marks[0];
    return mark.time + ((at - mark.at) * mark.us) / GRAINS_A_QUARTER / 1e6;
  }

  atOf(time) {
    const mark = this.marks.findLast((each) => each.time <= time) ?? this.marks[0];
    return mark.at + ((time - mark.time) * 1e6 * GRAINS_A_QUARTER) / mark.us;
  }

  // Microseconds a quarter in force just before a place.
  usBefore(at) {
    return (this.marks.findLast((each) => each.at < at) ?? this.marks[0]).us;
  }
}

/** One phrase being played. `settings` may change at any time: call `tempoChanged` or `orderChanged` after it. */
export class Playing {
  constructor(phrase, settings, { time, strike, countIn = true }) {
    Object.assign(this, { phrase, settings, strike });
    this.clock = new Clock(time);
    this.horizon = time - AHEAD_S;
    this.handedOn = new Set();
    this.spans = [];
    this.where = beginning(countIn);
    this.ended = false;
  }

  /** Hand on everything that sounds before `until` (seconds of the audio clock). */
  run(until) {
    if (until <= this.horizon) return;
    this.prepare(until);
    for (const span of this.spans) {
      for (const sound of span.sounds ?? []) {
        const time = this.clock.timeOf(sound.at);
        if (time >= until || this.handedOn.has(sound.id)) continue;
        this.handedOn.add(sound.id);
        if (time >= this.horizon) this.strike(sound, time);
      }
    }
    this.horizon = until;
    this.forget(until);
  }

  get endTime() {
    return this.ended ? this.clock.timeOf(this.spans.at(-1).end) : Infinity;
  }

  /** The span that sounds at a time, and the place in it (grains). */
  standing(time) {
    if (!this.clock.marks.length) return null;
    const at = this.clock.atOf(time);
    const span = this.spans.findLast((each) => each.start <= at);
    return span ? { span, place: at - span.start } : null;
  }

  prepare(until) {
    while (!this.ended && (!this.spans.length || this.clock.timeOf(this.spans.at(-1).start) < until + AHEAD_S)) this.extend();
    for (const [index, span] of this.spans.entries()) {
      if (!span.sounds && (this.ended || index < this.spans.length - 1)) this.sound(index);
    }
  }

  extend() {
    const next = nextSpan(this.where, this.phrase, this.settings);
    if (!next) {
      this.ended = true;
      return;
    }
    const { span } = next;
    Object.assign(span, { from: this.where, start: this.spans.at(-1)?.end ?? 0 });
    span.end = span.start + span.shape.grains;
    span.notes = notesOf(span.rows, span, this.phrase.voices);
    this.where = next.where;
    this.spans.push(span);
    this.pushTempo(span, span.start);
  }

  // The tempo of a span from a place on; one that changes through its bar changes on every sixteenth.
  pushTempo(span, from) {
    const [first, last] = span.kind === "bar" ? span.shape.quarters : [span.shape.quarters[0], span.shape.quarters[0]];
    const { tempo, half } = this.settings;
    const factor = ((span.tempo ?? tempo) / this.phrase.tempo) * (half ? 0.5 : 1);
    const number = first === last ? 1 : Math.max(2, Math.ceil(span.shape.grains / RAMP_GRAINS));
    for (let step = 0; step < number; step += 1) {
      const start = span.start + step * RAMP_GRAINS;
      const isOver = number === 1 || step === number - 1 ? span.end <= from : start + RAMP_GRAINS <= from;
      if (isOver || start >= span.end) continue;
      const quarters = number === 1 ? first : first + ((last - first) * step) / (number - 1);
      this.clock.push(Math.max(start, from), Math.floor(US_A_MINUTE / (quarters * factor) + 0.5));
    }
  }

  sound(index) {
    const span = this.spans[index];
    const usBefore = (at) => this.clock.usBefore(at);
    const before = this.spans[index - 1];
    span.last = before?.lastAfter ?? span.last ?? new Map();
    moveNotes(span, before?.notes ?? [], this.spans[index + 1]?.notes ?? [], usBefore);
    span.lastAfter = new Map(span.last);
    span.sounds = soundsOf(span, span.lastAfter, this.phrase.voices, usBefore);
  }

  /** The tempo has changed: from the horizon on, everything is at the new one. */
  tempoChanged() {
    if (!this.clock.marks.length) return;
    const at = Math.max(0, this.clock.atOf(this.horizon));
    const going = this.spans.filter((span) => span.end > at);
    this.clock.cut(at);
    for (const span of going) this.pushTempo(span, Math.max(at, span.start));
    for (const [index, span] of this.spans.entries()) if (span.end > at && span.sounds) this.sound(index);
  }

  /** What is played next has changed: spans that have not begun are decided anew; `restart` begins with the first. */
  orderChanged({ restart = false } = {}) {
    const at = this.clock.marks.length ? this.clock.atOf(this.horizon) : 0;
    const index = this.spans.findIndex((span) => span.start > at);
    this.ended = false; // what was the end may go on
    if (index < 0) return;
    const [first] = this.spans.splice(index);
    this.where = restart ? { ...beginning(false), waiting: first.from.waiting } : first.from;
    this.clock.cut(first.start);
  }

  forget(time) {
    const at = this.clock.atOf(time - KEPT_S);
    while (this.spans.length > 3 && this.spans[1].end < at) {
      for (const sound of this.spans.shift().sounds) this.handedOn.delete(sound.id);
    }
    this.clock.forget(this.spans[0]?.start ?? 0);
  }
}
