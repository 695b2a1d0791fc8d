// Controls: every blank, button and key, bound to what it changes. What is shown always comes from the settings.

import { Keys } from "./keys.js";
import { tapped, tempoWithin, within } from "./settings.js";
import { LIMBS, barsWords, chosenWords, tempoWords, voiceWords } from "./words.js";

const STEP = 5;
const MOST = 64;
const MOST_ROUNDS = 10_000;

// Blanks of the practice sentences that are whole numbers: their bounds.
const NUMBERS = { gapOn: [1, MOST], gapOff: [0, MOST], answer: [0, MOST], rest: [0, MOST], restAfter: [1, MOST_ROUNDS], countIn: [0, 8] };

function byId(id) {
  return document.getElementById(id);
}

// A blank that is entered is selected, so that the first figure typed takes the place of what stood there.
function selectedWhenEntered(blank) {
  let isFresh = false;
  blank.addEventListener("focus", () => {
    isFresh = true;
    blank.select();
  });
  blank.addEventListener("click", () => {
    if (isFresh) blank.select();
    isFresh = false;
  });
}

/** All controls of the page. */
export class Controls {
  constructor(page) {
    this.page = page;
    this.taps = [];
    this.bindButtons();
    this.bindBlanks();
    this.bindHabits();
    this.bindFingers();
    const isLetters = () => page.habits.letters;
    this.keys = new Keys({ acts: this.acts, isLetters, close: () => this.closePractice() });
  }

  get set() {
    return this.page.set;
  }

  get acts() {
    const { page } = this;
    const nudge = (step) => page.setTempo(tempoWithin(this.set.tempo + step, this.set.tempo));
    return {
      toggle: () => page.toggle(),
      tempo: () => this.typeTempo(),
      top: () => page.fromTheTop(),
      front: () => (page.front.isOpen ? page.choose(page.index) : page.front.open()),
      next: () => page.choose(page.front.isOpen ? page.index : page.index + 1),
      previous: () => page.choose(page.index - 1),
      faster: () => nudge(STEP),
      slower: () => nudge(-STEP),
      half: () => page.setHalf(!this.set.half),
      tap: () => this.tap(),
      all: () => page.setBars(page.phrase.bars[0][0], page.phrase.bars.at(-1)[0]),
      ladder: () => page.setLadder(!this.set.ladder),
      practice: () => this.openPractice(byId("practice").hidden),
      click: () => this.change({ click: this.set.click ? "" : "beats" }),
      count: () => this.change({ countIn: this.set.countIn ? 0 : 1 }),
      lefty: () => this.changeHabit("lefty", !page.habits.lefty),
      sticking: () => this.changeHabit("sticking", !page.habits.sticking),
      counts: () => this.changeHabit("counts", !page.habits.counts),
      ...Object.fromEntries(Object.keys(LIMBS).map((limb) => [limb, () => this.silence("silentLimbs", limb)])),
    };
  }

  bindButtons() {
    for (const button of document.querySelectorAll("[data-act]")) {
      button.addEventListener("click", (event) => {
        this.acts[button.dataset.act]();
        if (event.detail) button.blur(); // so that Space starts and stops again
      });
    }
  }

  // What was set with a finger or the mouse gives the keys back to the page, so that a pedal starts and stops again.
  bindFingers() {
    let isPointed = false;
    document.addEventListener("pointerdown", () => (isPointed = true), true);
    document.addEventListener("keydown", () => (isPointed = false), true);
    document.addEventListener("change", ({ target }) => isPointed && setTimeout(() => target.blur())); // a list that closes takes the focus back first
  }

  // -- blanks

  typeTempo() {
    const { page } = this;
    if (page.front.isOpen) page.choose(page.index);
    byId("tempo").focus();
  }

  bindBlanks() {
    for (const blank of document.querySelectorAll(".number")) selectedWhenEntered(blank);
    for (const [name, [least, most]] of Object.entries(NUMBERS)) {
      byId(name).addEventListener("change", ({ target }) =>
        this.change({ [name]: within(target.value, this.set[name], least, most) }));
    }
    byId("click").addEventListener("change", ({ target }) => this.change({ click: target.value }));
    byId("clickSide").addEventListener("change", ({ target }) => {
      this.set.clickSide = target.value;
      this.page.levels();
    });
    byId("times").addEventListener("change", ({ target }) => this.change({ times: Number(target.value) }));
    byId("tempo").addEventListener("change", ({ target }) => this.page.setTempo(tempoWithin(target.value, this.set.tempo)));
    byId("which")?.addEventListener("change", ({ target }) => this.page.choose(Number(target.value)));
    for (const name of ["first", "last"]) byId(name).addEventListener("change", () => this.changeBars());
    byId("ladder").addEventListener("change", ({ target }) => this.page.setLadder(target.checked));
    for (const name of ["times", "from", "by", "to"]) {
      byId(`ladder-${name}`).addEventListener("change", ({ target }) => this.changeRungs(name, target.value));
    }
  }

  change(values) {
    Object.assign(this.set, values);
    this.show();
    this.page.orderChanged(false);
  }

  changeBars() {
    const numbers = this.page.phrase.bars.map(([number]) => number);
    const [low, high] = [numbers[0], numbers.at(-1)];
    const ends = ["first", "last"].map((name) => within(byId(name).value, this.set[name], low, high));
    this.page.setBars(Math.min(...ends), Math.max(...ends));
  }

  changeRungs(name, text) {
    const { rungs } = this.set;
    if (name === "times") rungs.times = within(text, rungs.times, 1, 100);
    else if (name === "by") rungs.by = within(text, rungs.by, 0.5, 100, false);
    else rungs[name] = tempoWithin(text, rungs[name]);
    if (this.set.ladder) this.page.setLadder(true);
    this.show();
  }

  tap() {
    this.taps.push(performance.now() / 1000);
    const tempo = tapped(this.taps);
    if (tempo) this.page.setTempo(tempo);
  }

  // -- silence

  silence(group, name) {
    const silent = this.set[group];
    if (!silent.delete(name)) silent.add(name);
    this.show();
    this.page.changed();
    const words = group === "silentLimbs" ? LIMBS[name] : voiceWords(name);
    this.page.say(`The ${words} ${silent.has(name) ? "is silent" : "sounds"}`);
  }

  showSilence() {
    const { phrase } = this.page;
    const rows = phrase.shapes.flatMap(({ strokes }) => strokes);
    const graces = rows.filter((row) => row[7]);
    const played = new Set([...rows.map((row) => row[3]), ...graces.map((row) => row[8])]);
    const limbs = new Set([...rows.map((row) => row[5]), ...graces.map((row) => ({ R: "L", L: "R" })[row[5]])]);
    if (this.page.habits.lefty && (limbs.has("R") || limbs.has("L"))) for (const hand of "RL") limbs.add(hand);
    const voices = [...played].map((voice) => phrase.voices[voice].name);
    this.fill("limbs", Object.keys(LIMBS).filter((limb) => limbs.has(limb)), "silentLimbs", (limb) => LIMBS[limb]);
    this.fill("voices", voices, "silentVoices", voiceWords);
  }

  // Buttons are kept while they are the same, so that the one with the focus stays.
  fill(id, names, group, wordsOf) {
    const place = byId(id);
    const wanted = names.join("\n");
    if (place.dataset.names !== wanted) {
      place.dataset.names = wanted;
      place.replaceChildren(...names.map((name) => {
        const button = document.createElement("button");
        button.type = "button";
        button.value = name;
        button.addEventListener("click", (event) => {
          this.silence(group, name);
          if (event.detail) button.blur();
        });
        return button;
      }));
    }
    for (const button of place.children) {
      const isSilent = this.set[group].has(button.value);
      button.textContent = `Silence the ${wordsOf(button.value)}`;
      button.setAttribute("aria-pressed", String(isSilent));
    }
  }

  // -- what holds for the whole page

  bindHabits() {
    const { habits } = this.page;
    for (const control of document.querySelectorAll("[data-habit]")) {
      const name = control.dataset.habit;
      const isBox = control.type === "checkbox";
      const show = () => {
        if (isBox) control.checked = habits[name];
        else control.value = habits[name];
      };
      show();
      control.addEventListener(control.type === "range" ? "input" : "change", () => {
        this.changeHabit(name, isBox ? control.checked : this.read(control, habits[name]));
        show();
      });
    }
    queueMicrotask(() => this.page.habitsChanged());
  }

  read(control, old) {
    if (typeof old !== "number") return control.value;
    return within(control.value, old, Number(control.min), Number(control.max));
  }

  changeHabit(name, value) {
    this.page.habits[name] = value;
    const control = document.querySelector(`[data-habit="${name}"]`);
    if (control.type === "checkbox") control.checked = value;
    this.page.habitsChanged();
    this.show();
  }

  openPractice(open) {
    byId("practice").hidden = !open;
    document.body.classList.toggle("practising", open);
    const button = document.querySelector('[data-act="practice"]');
    button.setAttribute("aria-expanded", String(open));
    this.page.refit();
    if (open) byId("practice").focus(); // no blank: that would bring up a keyboard on the screen
  }

  closePractice() {
    if (byId("practice").hidden) return false;
    this.openPractice(false);
    document.querySelector('[data-act="practice"]').focus();
    return true;
  }

  // -- showing

  show() {
    const { set, page } = this;
    const { phrase } = page;
    for (const name of [...Object.keys(NUMBERS), "first", "last"]) byId(name).value = set[name];
    byId("click").value = set.click;
    byId("clickSide").value = set.clickSide;
    byId("picked").textContent = set.numbers ? ` (of them only ${barsWords(set.numbers)})` : "";
    this.showTimes(set.times);
    byId("unit").textContent = phrase.unit;
    byId("tempo").value = tempoWords(set.tempo);
    this.tempoNow(set.ladder ? set.ladder.from : set.tempo);
    byId("ladder").checked = Boolean(set.ladder);
    for (const name of ["times", "from", "by", "to"]) byId(`ladder-${name}`).value = tempoWords(set.rungs[name]);
    if (byId("which")) byId("which").value = String(page.index);
    document.querySelector('[data-act="half"]').setAttribute("aria-pressed", String(set.half));
    const isAll = set.first === phrase.bars[0][0] && set.last === phrase.bars.at(-1)[0] && !set.numbers;
    byId("bars-now").textContent = isAll ? "" : chosenWords(set);
    this.showSilence();
  }

  // A number of times that has no word of its own gets one.
  showTimes(times) {
    const select = byId("times");
    if (![...select.options].some(({ value }) => Number(value) === times)) select.add(new Option(`${times} times`, times));
    select.value = String(times);
  }

  tempoNow(tempo) {
    const { set, page } = this;
    const written = page.phrase.tempo;
    const words = [set.ladder && "climbing", set.half && "half speed"].filter(Boolean);
    if (words.length) words.push(tempoWords(set.half ? tempo / 2 : tempo));
    else if (Math.abs(set.tempo - written) > 0.05) words.push(`written ${tempoWords(written)}`);
    byId("tempo-now").textContent = words.join(", ");
  }

  playing(isPlaying) {
    byId("start").textContent = isPlaying ? "Stop" : "Start";
    if (!isPlaying) byId("where").textContent = "";
  }

  where(words, number) {
    byId("where").textContent = number ? `${number}: ${words}` : words;
  }
}
