// Settings: how one phrase is practised, and what holds for the whole page.

import { keep, recall } from "./keeping.js";

const SLOWEST = 10;
const FASTEST = 400;
const HABITS = {
  drums: 80, click: 70, late: 0, flash: false, lefty: false, letters: true, awake: true, sticking: true, counts: false,
  paper: "",
};

/** A number from a blank, whole where it must be, held in its bounds; the old one where it is none. */
export function within(text, old, least, most, whole = true) {
  const number = Number(String(text).trim().replace(",", "."));
  if (!String(text).trim() || !Number.isFinite(number)) return old;
  return Math.min(most, Math.max(least, whole ? Math.round(number) : Math.round(number * 1000) / 1000));
}

/** A tempo within what can be played. */
export function tempoWithin(text, old) {
  return within(text, old, SLOWEST, FASTEST, false);
}

/** The settings of a phrase as its page begins with them: what was asked for, and the tempo reached on this device. */
export function settingsOf(phrase, asked) {
  const numbers = phrase.bars.map(([number]) => number);
  const reached = recall(`tempo ${phrase.remembered}`);
  const tempo = asked.tempo ?? (typeof reached === "number" ? tempoWithin(reached, phrase.tempo) : phrase.tempo);
  const written = Math.round(phrase.tempo);
  return {
    ...asked,
    tempo,
    half: false,
    first: asked.first ?? numbers[0],
    last: asked.last ?? numbers.at(-1),
    ladder: asked.ladder,
    rungs: asked.ladder ?? { times: 4, from: written, by: 5, to: Math.min(FASTEST, written + 30) },
    silentLimbs: new Set(asked.silentLimbs),
    silentVoices: new Set(asked.silentVoices),
  };
}

export function rememberTempo(phrase, tempo) {
  keep(`tempo ${phrase.remembered}`, tempo);
}

/** What holds for the whole page, as it was left on this device. */
export function habits(show) {
  const kept = recall("habits");
  const known = Object.entries({ ...HABITS, ...show }).map(([name, usual]) => {
    const value = kept?.[name];
    return [name, typeof value === typeof usual ? value : usual];
  });
  return Object.fromEntries(known);
}

export function keepHabits(values) {
  keep("habits", values);
}

/** The tempo that taps (seconds) ask for; null while they are too few or too far apart. */
export function tapped(taps) {
  const recent = [];
  for (const tap of taps.slice(-6).reverse()) {
    if (recent.length && recent.at(-1) - tap > 3) break;
    recent.push(tap);
  }
  if (recent.length < 2) return null;
  return tempoWithin(Math.round((60 * (recent.length - 1)) / (recent[0] - recent.at(-1))), null);
}
