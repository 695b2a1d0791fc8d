// Rounds: which bar comes next — counting in, the chosen bars so often, rests, answers, rungs of a ladder, landings.
//
// `where` remembers how far playing has come; it is a plain value, so that what has not sounded yet can be decided
// anew when the player changes something.

const FRESH = { stage: "lead", rung: 0, turn: 0, index: 0, counted: 0, rested: 0, bars: 0, asked: [], owed: [], waiting: null, waitingTempo: null };

/** Where playing begins; without `countIn` the bars begin at once. */
export function beginning(countIn = true) {
  return { ...FRESH, stage: countIn ? "lead" : "bars" };
}

/** Whether a bar is among the chosen ones: a range, or some `numbers` of it. */
export function isChosen(number, { first, last, numbers }) {
  return numbers ? numbers.includes(number) : number >= first && number <= last;
}

/** The bars that are played, in order, and the pickup before them, if there is one. */
export function chosenBars(phrase, settings) {
  const bars = phrase.bars
    .filter(([number]) => isChosen(number, settings))
    .map(([number, shape]) => ({ number, shape: phrase.shapes[shape] }));
  const pickup = bars.length > 1 && bars[0].shape.role === "pickup" ? bars.shift() : null;
  return { pickup, body: bars };
}

/** The tempos of the ladder, both ends in it; one that is not said where there is no ladder. */
export function rungsOf(ladder) {
  if (!ladder) return [null];
  const { from, to, by } = ladder;
  const rungs = [];
  const sign = to >= from ? 1 : -1;
  for (let index = 0; index <= 400 && (to - from) * sign - by * index > -1e-9; index += 1) rungs.push(from + sign * by * index);
  if (Math.abs(rungs.at(-1) - to) > 1e-9) rungs.push(to);
  return rungs;
}

/** The next span, and where playing stands after it; null at the end. */
export function nextSpan(where, phrase, settings) {
  const round = new Round({ ...where }, phrase, settings);
  const span = round.next();
  return span && { span, where: round.at };
}

class Round {
  constructor(at, phrase, settings) {
    this.at = at;
    this.settings = settings;
    Object.assign(this, chosenBars(phrase, settings));
    this.rungs = rungsOf(settings.ladder);
  }

  next() {
    for (;;) {
      const span = this[this.at.stage]();
      if (span !== undefined) return span;
    }
  }

  get tempo() {
    return this.rungs[Math.min(this.at.rung, this.rungs.length - 1)];
  }

  get times() {
    return this.settings.ladder ? this.settings.ladder.times : this.settings.times;
  }

  get pass() {
    return this.times ? this.at.rung * this.times + this.at.turn : this.at.turn;
  }

  // A span of the phrase, or a silent one of the same length, under the landing of a fill before it.
  span(kind, shape, number) {
    const { at } = this;
    const { waiting } = at;
    const span = { kind, shape, number, pass: this.pass, tempo: this.tempo, rows: [], clicks: [] };
    if (kind === "bar") span.rows = shape.strokes;
    if (waiting && kind !== "count-in" && !(kind === "bar" && shape.role === "fill")) {
      span.rows = kind === "bar" ? shape.landed[waiting.landing] : waiting.after.strokes;
      span.landing = waiting.landing;
    }
    if (kind !== "count-in") {
      at.waiting = kind === "bar" && shape.landing ? shape : null;
      at.waitingTempo = this.tempo;
    }
    return span;
  }

  clicked(span) {
    const { click, gapOn, gapOff } = this.settings;
    if (click) {
      const sounding = !gapOff || this.at.counted % (gapOn + gapOff) < gapOn;
      this.at.counted += 1;
      if (sounding) span.clicks = span.shape.clicks[click];
    }
    return span;
  }

  landingAlone() {
    const { landing, after } = this.at.waiting;
    this.at.waiting = null;
    const span = { kind: "landing", shape: after, number: null, pass: this.pass, tempo: this.at.waitingTempo };
    return this.clicked({ ...span, rows: after.strokes, clicks: [], landing });
  }

  lead() {
    const { at, pickup, body, settings } = this;
    const bars = Math.max(settings.countIn, pickup ? 1 : 0);
    if (at.index < bars) {
      if (settings.countIn && at.waiting) return this.landingAlone();
      const plays = pickup && at.index === bars - 1;
      const { shape, number } = pickup ?? body[0];
      at.index += 1;
      const span = plays ? this.span("bar", shape, number) : this.span("count-in", shape, 0);
      if (settings.countIn) span.clicks = shape.count;
      else this.clicked(span);
      span.counts = true;
      return span;
    }
    Object.assign(at, { stage: "bars", index: 0, turn: 0, rested: 0, asked: [] });
    return undefined;
  }

  bars() {
    const { at, body, settings } = this;
    if (settings.answer && at.asked.length >= settings.answer) return this.askBack();
    if (at.index >= body.length) Object.assign(at, { index: 0, turn: at.turn + 1, rested: 0 });
    if (this.times && at.turn >= this.times && at.index === 0) {
      if (at.asked.length && settings.answer) return this.askBack();
      const more = at.rung + 1 < this.rungs.length;
      Object.assign(at, more ? { stage: "lead", rung: at.rung + 1, index: 0, turn: 0 } : { stage: "ending" });
      return undefined;
    }
    const restsHere = settings.rest && at.turn && at.index === 0 && at.turn % settings.restAfter === 0;
    if (restsHere && at.rested < settings.rest) {
      at.rested += 1;
      return this.played(this.span("rest", body.at(-1).shape, null));
    }
    const { shape, number } = body[at.index];
    at.index += 1;
    return this.played(this.span("bar", shape, number));
  }

  played(span) {
    if (this.settings.answer) this.at.asked = [...this.at.asked, span.shape];
    return this.clicked(span);
  }

  askBack() {
    Object.assign(this.at, { stage: "answering", owed: this.at.asked, asked: [] });
    return undefined;
  }

  answering() {
    const [shape, ...owed] = this.at.owed;
    if (!shape) {
      this.at.stage = "bars";
      return undefined;
    }
    this.at.owed = owed;
    return this.clicked(this.span("answer", shape, null));
  }

  ending() {
    return this.at.waiting ? this.landingAlone() : null;
  }
}
