// Feel: from written strokes to places that sound, for one bar after another.
//
// Places are grains from the start of playing (10 080 to the quarter note). A deviation is a whole number of
// microseconds from an integer hash of seed, pass, bar and stroke, and is the same wherever the phrase is played;
// grace notes and bounces hang on the moved strokes and never move them.

const GRAINS = 10080;
const MASK = (1n << 64n) - 1n;
const OTHER_HAND = { R: "L", L: "R" };
const MOST_BOUNCES = 12;

// The finalizer of SplitMix64 (Steele, Lea and Flood 2014).
function mixed(state) {
  state = ((state ^ (state >> 30n)) * 0xbf58476d1ce4e5b9n) & MASK;
  state = ((state ^ (state >> 27n)) * 0x94d049bb133111ebn) & MASK;
  return state ^ (state >> 31n);
}

/** How far one stroke is moved, in microseconds, within three times `spreadMs`. */
export function deviation(spreadMs, seed, pass, bar, stroke) {
  const golden = 0x9e3779b97f4a7c15n;
  let state = 0n;
  for (const part of [seed, pass, bar, stroke]) state = mixed((state + BigInt(part) + golden) & MASK);
  let total = 0n;
  for (const number of [1n, 2n, 3n]) {
    const word = mixed((state + number * golden) & MASK);
    for (const shift of [0n, 16n, 32n, 48n]) total += (word >> shift) & 0xffffn;
  }
  const centred = 2 * Number(total) - 12 * 0xffff;
  const size = Math.floor((Math.abs(centred) * spreadMs * 1000) / (2 * 0x10000));
  return Math.sign(centred) * Math.min(size, 3 * spreadMs * 1000);
}

/** Strokes of one key and place as one note, which remembers every limb that strikes it. */
export function notesOf(rows, span, voices) {
  const notes = new Map();
  for (const [at, place, end, voice, velocity, limb, number, grace = 0, graceVoice, graceVelocity, buzz = 0] of rows) {
    const key = voices[voice].key;
    const stroke = { voice, velocity, limb, grace, graceVoice, graceVelocity, buzz };
    const ornament = grace || buzz ? { ...stroke, end: span.start + end } : null;
    const twin = notes.get(`${at} ${key}`);
    if (twin) {
      twin.strokes.push(stroke);
      twin.limbs.push(limb);
      twin.ornament ??= ornament;
    } else {
      notes.set(`${at} ${key}`, {
        at: span.start + at, place, key, number, strokes: [stroke], limbs: [limb], ornament,
      });
    }
  }
  return [...notes.values()].sort((one, other) => one.at - other.at || one.number - other.number);
}

function neighbours(note) {
  return [note.key, ...note.limbs, ...(note.ornament?.grace ? ["R", "L"] : [])];
}

/** Moves the notes of a span by their spread; `before` and `after` are the notes of the spans beside it. */
export function moveNotes(span, before, after, usBefore) {
  const [spread, seed] = span.shape.feel;
  if (!spread) {
    for (const note of span.notes) note.moved = 0;
    return;
  }
  const early = rooms([...before, ...span.notes], (note) => note.at);
  const late = rooms([...span.notes, ...after].reverse(), (note) => -note.at);
  for (const note of span.notes) {
    const us = usBefore(note.at + 1);
    const grains = (deviation(spread, seed, span.pass, span.number, note.number) * GRAINS) / us;
    const start = note.ornament?.grace ? note.at / 4 : note.at;
    note.moved = Math.max(-Math.min(early.get(note), start), Math.min(grains, late.get(note)));
  }
}

function rooms(notes, placeOf) {
  const last = new Map();
  const found = new Map();
  for (const note of notes) {
    const keys = neighbours(note);
    const known = keys.filter((key) => last.has(key)).map((key) => last.get(key));
    const gap = known.length ? placeOf(note) - Math.max(...known) : Infinity;
    found.set(note, note.ornament?.grace ? gap / 4 : Math.max(0, gap - 1) / 2);
    for (const key of keys) last.set(key, placeOf(note));
  }
  return found;
}

/** What sounds of a span's moved notes, in order; `last` remembers what each key and limb last struck, and is moved on. */
export function soundsOf(span, last, voices, usBefore) {
  const sounds = [];
  for (const note of span.notes) {
    const at = note.at + note.moved;
    const about = { place: note.place, span };
    sounds.push({ ...about, at, id: `${note.at} ${note.key}`, kind: "stroke", strokes: note.strokes });
    if (note.ornament?.grace) sounds.push(...graces(note, at, about, last, voices, usBefore));
    if (note.ornament?.buzz) sounds.push(...bounces(note, at, about, usBefore));
    for (const key of [note.key, ...note.limbs]) last.set(key, at);
  }
  for (const [at, place, marked] of span.clicks) {
    sounds.push({ at: span.start + at, place, span, id: `click ${span.start + at}`, kind: "click", marked });
  }
  return sounds;
}

// Grace notes shrink to a third of the room there is since the last stroke of their hand or their drum.
function graces(note, at, about, last, voices, usBefore) {
  const { grace, graceVoice, graceVelocity, limb: main } = note.ornament;
  const [, , flamMs, dragMs] = about.span.shape.feel;
  const limb = OTHER_HAND[main];
  const key = voices[graceVoice].key;
  const known = [limb, key, note.key].filter((each) => last.has(each)).map((each) => last.get(each));
  const room = known.length ? at - Math.max(...known) : Infinity;
  const wanted = ((grace === 1 ? flamMs : dragMs) * 1000 * GRAINS) / usBefore(note.at);
  const gap = Math.max(1, Math.min(wanted, room / (3 * grace)));
  const sounds = [];
  for (let number = grace; number > 0; number -= 1) {
    const strokes = [{ voice: graceVoice, velocity: graceVelocity, limb }];
    sounds.push({
      ...about, at: at - gap * number, id: `${note.at} ${note.key} grace ${number}`, kind: "grace", strokes,
    });
  }
  last.set(limb, at - gap);
  return sounds;
}

// Bounces fill at most two thirds of their stroke's place; each is four fifths as loud as the one before.
function bounces(note, at, about, usBefore) {
  const { voice, velocity, limb, end } = note.ornament;
  const room = ((end - note.at - Math.max(0, note.moved)) * 2) / 3;
  const wanted = (about.span.shape.feel[4] * 1000 * GRAINS) / usBefore(note.at);
  const gap = Math.max(1, Math.min(wanted, room / 2));
  const sounds = [];
  for (let number = 1; number <= Math.min(MOST_BOUNCES, Math.floor(room / gap + 1e-9)); number += 1) {
    const softer = Math.max(1, Math.floor((velocity * 4 ** number) / 5 ** number));
    const strokes = [{ voice, velocity: softer, limb }];
    sounds.push({
      ...about, at: at + gap * number, id: `${note.at} ${note.key} bounce ${number}`, kind: "bounce", strokes,
    });
  }
  return sounds;
}
