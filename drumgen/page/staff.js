// Staff: the engraved lines of one phrase — the mark that moves with the sound, the notes being struck, notes greyed
// because they are silenced, bars chosen, and lines that turn before the eye gets there.

import { STRIP_ASIDE, fitOf, roomWhilePlaying } from "./fitting.js";
import { isChosen } from "./rounds.js";

const LIT_S = 0.12;
const MOST_AIR = 1.25; // of a line's own height

/** Where things of one measure are, in the units of its line. */
function measureOf(element, line) {
  const ground = element.querySelector(".ground");
  const left = Number(ground.getAttribute("x"));
  const right = left + Number(ground.getAttribute("width"));
  const notes = [...element.querySelectorAll("[data-at]")].map((note) => ({
    note, place: Number(note.dataset.at), limb: note.dataset.limb, voice: note.dataset.voice, x: middleOf(note),
  }));
  const graces = [...element.querySelectorAll("[data-grace]")].map((note) => ({
    note, place: Number(note.dataset.grace), limb: note.dataset.limb, voice: note.dataset.voice,
  }));
  const { bars, name, role, from, grains, sticking } = element.dataset;
  return {
    element, ground, line, left, right, notes, graces, name, role, sticking,
    from: Number(from), grains: Number(grains), bars: bars.split(" ").map(Number),
  };
}

// Counts of rests and letters of grace notes stand beside the measures: each belongs to the one it is under.
function adoptTexts({ element, line, left, right }) {
  for (const text of line.svg.querySelectorAll(".count, .letter")) {
    const x = Number(text.getAttribute("x"));
    if (!text.closest(".measure") && x >= left && x < right) element.append(text);
  }
}

// The middle of a note's head: its first sign's origin and half a head.
function middleOf(note) {
  const sign = note.querySelector("use");
  const [x] = sign.getAttribute("transform").match(/-?[\d.]+/g).map(Number);
  return x + 90;
}

/** The lines of one phrase in both lengths; one of them is shown. */
export class Staff {
  constructor(section) {
    this.section = section;
    this.editions = [...section.querySelectorAll(".edition")].map((edition) => {
      const lines = [...edition.querySelectorAll(".strip")].map((strip) => {
        const svg = strip.querySelector("svg");
        return { strip, svg, mark: markOn(svg), ...numbers(svg) };
      });
      const measures = lines.flatMap((line) =>
        [...line.svg.querySelectorAll(".measure")].map((element) => measureOf(element, line)));
      for (const measure of measures) adoptTexts(measure);
      return { edition, lines, measures };
    });
    this.lit = [];
    this.swapped = false;
    this.count(false);
    this.fit();
  }

  get measures() {
    return this.shown.measures;
  }

  /** Show the lines, long or short, on which the bars that are read at once are largest. */
  fit() {
    const room = roomWhilePlaying(this.section);
    const fits = this.editions.map((each) => fitOf(each, room));
    const [long, short] = fits.map(({ rank }) => rank);
    const at = long.findIndex((each, index) => each !== short[index]);
    const best = at >= 0 && short[at] > long[at] ? 1 : 0;
    const { edition, full, unit, slots, tallest } = fits[best];
    this.shown = this.editions[best];
    this.slots = slots;
    this.slotHeight = Math.min(room.height / slots, MOST_AIR * tallest);
    for (const each of this.editions) each.edition.hidden = each !== this.shown;
    edition.style.width = `${full * unit + STRIP_ASIDE}px`;
    for (const { svg, width, height } of this.shown.lines) {
      svg.style.setProperty("--wide", `${width * Math.min(unit, tallest / height)}px`);
    }
    this.turned = null;
  }

  /** Leave room for the counts under every line, or none. */
  count(counted) {
    for (const line of this.editions.flatMap(({ lines }) => lines)) {
      const [left, top, width] = line.svg.getAttribute("viewBox").split(" ").map(Number);
      line.height = (counted ? line.whole : line.uncounted) - top;
      line.svg.setAttribute("viewBox", `${left} ${top} ${width} ${line.height}`);
    }
  }

  measureFor(number) {
    return this.measures.find((each) => each.bars.includes(number));
  }

  /** Call `then` with the numbers of a bar that is struck with finger, mouse or key. */
  onBar(then) {
    for (const { measures } of this.editions) {
      for (const each of measures) {
        each.element.addEventListener("click", () => then(each.bars));
        each.element.addEventListener("keydown", (event) => {
          if (event.key !== "Enter" && event.key !== " ") return;
          event.preventDefault();
          event.stopPropagation();
          then(each.bars);
        });
      }
    }
  }

  /** Grey what is silenced and what is not among the chosen bars. */
  grey(isSilent, settings, highest) {
    const { last, times, ladder } = settings;
    for (const { measures } of this.editions) {
      for (const each of measures) {
        const lands = each.role === "landing" && (times > 0 || ladder) && last === highest;
        const isPlayed = lands || each.bars.some((number) => isChosen(number, settings));
        each.element.classList.toggle("left-out", !isPlayed);
        each.ground.setAttribute("aria-pressed", String(isPlayed));
        for (const { note, limb, voice } of [...each.notes, ...each.graces]) {
          note.classList.toggle("silenced", isSilent(limb, voice));
        }
      }
    }
  }

  /** Exchange the hands: the letters under the notes, and the limbs of the notes of the hands. */
  exchangeHands(swapped) {
    if (swapped === this.swapped) return;
    this.swapped = swapped;
    const other = { R: "L", L: "R", r: "l", l: "r" };
    for (const letter of this.section.querySelectorAll(".letter tspan")) {
      letter.textContent = letter.textContent.replace(/[RLrl]/g, (hand) => other[hand]);
    }
    for (const { measures } of this.editions) {
      for (const each of [...measures.flatMap(({ notes }) => notes), ...measures.flatMap(({ graces }) => graces)]) {
        each.limb = other[each.limb] ?? each.limb;
        each.note.dataset.limb = each.limb;
      }
    }
  }

  /** Put the mark where a place of a span is written; `knots` are [sounding place, written place] in order. */
  point(span, place, { glide = true } = {}) {
    const measure = span.kind === "bar" ? this.measureFor(span.number) : null;
    if (measure) this.pointed = { measure, x: this.xOf(measure, span, place, glide) };
    else if (!this.pointed || span.kind === "count-in" || span.kind === "landing") this.pointAside(span);
    if (!this.pointed) return;
    const { line } = this.pointed.measure;
    if (this.markLine && this.markLine !== line) this.markLine.mark.toggleAttribute("hidden", true);
    this.markLine = line;
    line.mark.toggleAttribute("hidden", false);
    line.mark.setAttribute("transform", `translate(${this.pointed.x.toFixed(1)} 0)`);
  }

  // Before the first bar, and on a landing that is printed after the last.
  pointAside(span) {
    const after = span.kind === "landing" && this.measures.find(({ role }) => role === "landing");
    const measure = after || this.measureFor(span.first ?? this.measures[0].bars[0]);
    const [first] = measure.notes;
    this.pointed = { measure, x: after && first ? first.x : measure.left };
  }

  xOf(measure, span, place, glide) {
    const knots = (measure.knots ??= new Map());
    if (!knots.has(span.rows)) knots.set(span.rows, knotsOf(measure, span));
    const row = knots.get(span.rows);
    const after = row.findIndex(([at]) => at > place);
    if (after === 0) return row[0][1];
    const [at, x] = row.at(after < 0 ? -1 : after - 1);
    if (!glide || after < 0) return x;
    const [nextAt, nextX] = row[after];
    return x + ((nextX - x) * (place - at)) / (nextAt - at);
  }

  /** Darken the notes of a stroke for a moment. */
  strike(sound, limbs, time) {
    const landing = sound.span.kind === "landing" && this.measures.find(({ role }) => role === "landing");
    const measure = landing || (sound.span.kind === "bar" ? this.measureFor(sound.span.number) : null);
    if (!measure || sound.kind === "bounce") return;
    const among = sound.kind === "grace" ? measure.graces : measure.notes;
    for (const { note, place, limb } of among) {
      if (place !== sound.place || !limbs.includes(limb)) continue;
      note.classList.add("struck");
      this.lit.push({ note, until: time + LIT_S });
    }
  }

  /** Let notes go that have been dark long enough. */
  settle(time) {
    const over = this.lit.filter(({ until }) => until <= time);
    if (!over.length) return;
    this.lit = this.lit.filter(({ until }) => until > time);
    for (const { note } of over) if (!this.lit.some((each) => each.note === note)) note.classList.remove("struck");
  }

  /** While playing, as many lines as fit; the line after the one that is read is never out of sight. */
  turn(numbersAhead) {
    const ahead = [];
    for (const number of numbersAhead) {
      const line = this.measureFor(number)?.line;
      if (line && !ahead.includes(line)) ahead.push(line);
    }
    if (this.shown.lines.length <= this.slots) return;
    const wanted = ahead.slice(0, this.slots);
    this.turned ??= Array(this.slots).fill(null);
    for (const [slot, line] of this.turned.entries()) if (!wanted.includes(line)) this.turned[slot] = null;
    for (const line of wanted) {
      if (this.turned.includes(line)) continue;
      this.turned[this.turned.indexOf(null)] = line;
    }
    this.place();
  }

  // Every line has as much room as the tallest, so that nothing moves but the line that turns.
  place() {
    for (const line of this.shown.lines) {
      const slot = this.turned.indexOf(line);
      line.strip.classList.toggle("turned-away", slot < 0);
      line.strip.style.order = slot < 0 ? "" : String(slot);
      line.strip.style.minHeight = `${this.slotHeight}px`;
    }
  }

  /** Stopped: every line in its place again, no mark, nothing dark. */
  rest() {
    this.settle(Infinity);
    if (this.markLine) this.markLine.mark.toggleAttribute("hidden", true);
    this.markLine = null;
    this.pointed = null;
    this.turned = null;
    for (const { lines } of this.editions) {
      for (const { strip } of lines) {
        strip.classList.remove("turned-away");
        strip.style.order = "";
        strip.style.minHeight = "";
      }
    }
  }
}

// A thin line through the staff with a point on top, drawn behind the notes.
function markOn(svg) {
  const [top, bottom] = svg.dataset.staff.split(" ").map(Number);
  const mark = document.createElementNS("http://www.w3.org/2000/svg", "path");
  mark.setAttribute("class", "mark");
  mark.setAttribute("d", `M-22 ${top - 560}H22V${bottom + 560}H-22ZM-150 ${top - 800}H150L0 ${top - 520}Z`);
  mark.toggleAttribute("hidden", true);
  svg.prepend(mark);
  return mark;
}

function numbers(svg) {
  const { width: full, height, uncounted } = svg.dataset;
  const { width } = svg.viewBox.baseVal;
  return { full: Number(full), width, whole: Number(height), uncounted: Number(uncounted) };
}

// Where the mark is at each sounding place of a bar: on its notes, and at last on its bar line.
function knotsOf(measure, span) {
  const xs = new Map(measure.notes.map(({ place, x }) => [place, x]));
  const knots = new Map();
  for (const [at, place] of span.rows) if (xs.has(place)) knots.set(at, xs.get(place));
  const row = [...knots].sort(([one], [other]) => one - other);
  const first = Math.min(measure.right, ...measure.notes.map(({ x }) => x));
  if (!row.length || row[0][0] > 0) row.unshift([measure.from, row.length ? Math.max(measure.left, first - 300) : measure.left]);
  return [...row, [span.shape.grains, measure.right]];
}
