// The page: one phrase of several in hand, started and stopped, drawn as it sounds.

import { Controls } from "./controls.js";
import { Front } from "./front.js";
import { Awake } from "./keeping.js";
import { Notes } from "./notes.js";
import { Playing } from "./playing.js";
import { habits, keepHabits, rememberTempo, settingsOf } from "./settings.js";
import { Showing } from "./showing.js";
import { Sound } from "./sound.js";
import { Staff } from "./staff.js";
import { measureWords, startWords, tempoWords } from "./words.js";

const EVERY_MS = 25;
const HANDED_AHEAD_S = 0.2;
const HANDED_AHEAD_HIDDEN_S = 2.5;
const LEAD_S = 0.2;
const RING_S = 6;

class Page {
  constructor(data) {
    this.data = data;
    this.habits = habits(data.show);
    this.awake = new Awake();
    this.settings = data.phrases.map((phrase, index) => settingsOf(phrase, data.practice[index]));
    this.sections = [...document.querySelectorAll(".phrase")];
    this.staves = [];
    this.showing = new Showing(this);
    this.controls = new Controls(this);
    this.front = new Front(this);
    this.notes = new Notes();
    this.choose(0);
    this.front.begin();
    this.notes.fit();
    new ResizeObserver(() => this.refit()).observe(document.getElementById("music"), { box: "border-box" });
    addEventListener("pagehide", () => this.stop());
    document.addEventListener("visibilitychange", () => this.ahead());
    document.documentElement.dataset.ready = String(Math.round(performance.now()));
  }

  get phrase() {
    return this.data.phrases[this.index];
  }

  get set() {
    return this.settings[this.index];
  }

  get staff() {
    return this.staves[this.index];
  }

  /** Take another phrase in hand. */
  choose(index) {
    const wasPlaying = this.isPlaying;
    if (wasPlaying) this.stop();
    this.index = (index + this.sections.length) % this.sections.length;
    this.front.turn(false);
    this.staves[this.index] ??= this.makeStaff(this.sections[this.index]);
    this.refit();
    this.controls.show();
    this.changed();
    if (wasPlaying) this.start();
    else if (this.said) this.say(this.phrase.title);
  }

  makeStaff(section) {
    const staff = new Staff(section);
    for (const { measures } of staff.editions) {
      for (const measure of measures) {
        measure.ground.setAttribute("role", "button");
        measure.ground.setAttribute("tabindex", "0");
        measure.ground.setAttribute("aria-label", measureWords(measure));
      }
    }
    staff.onBar((bars) => this.chooseBar(bars));
    return staff;
  }

  refit() {
    this.notes.fit();
    this.staff.fit();
    if (this.isPlaying) this.showing.turnLines();
  }

  // The first bar struck is played alone; a second one stretches to it; one that is played alone gives all again.
  chooseBar(bars) {
    const [low, high] = [bars[0], bars.at(-1)];
    const { set } = this;
    const numbers = this.phrase.bars.map(([number]) => number);
    const [lowest, highest] = [numbers[0], numbers.at(-1)];
    if (low > highest) return;
    const isAll = set.first === lowest && set.last === highest && !set.numbers;
    const isThis = set.first === low && set.last === high && !set.numbers;
    if (isThis) this.setBars(lowest, highest);
    else if (isAll || (low >= set.first && high <= set.last)) this.setBars(low, high);
    else this.setBars(Math.min(set.first, low), Math.max(set.last, high));
  }

  setBars(first, last) {
    Object.assign(this.set, { first, last, numbers: null });
    this.controls.show();
    this.orderChanged(true);
    this.say(first === last ? `Bar ${first}` : `Bars ${first} to ${last}`);
  }

  // -- sounding

  get isPlaying() {
    return Boolean(this.playing);
  }

  async sound() {
    this.loading ??= (async () => {
      const context = new AudioContext({ latencyHint: "interactive" });
      const sound = new Sound(context, this.data.sound);
      await sound.load();
      return sound;
    })();
    return this.loading;
  }

  toggle() {
    if (this.isPlaying || this.starting) this.stop();
    else this.start();
  }

  async start({ countIn = true } = {}) {
    if (this.front.isOpen) this.front.turn(false);
    const starting = Symbol("start");
    this.starting = starting;
    this.controls.playing(true);
    const sound = await this.sound();
    await sound.context.resume();
    if (this.starting !== starting) return;
    this.starting = null;
    this.sounding = sound;
    this.levels();
    this.begin(countIn);
    this.awake.want(this.habits.awake);
    document.body.classList.add("playing");
    this.staff.fit();
    this.say(startWords(this.phrase, this.set));
    this.timer = setInterval(() => this.ahead(), EVERY_MS);
    this.ahead();
    this.showing.begin();
  }

  begin(countIn) {
    const time = this.sounding.context.currentTime + LEAD_S;
    const strike = (sound, at) => this.strike(sound, at);
    this.playing = new Playing(this.phrase, this.set, { time, strike, countIn });
    this.showing.clear();
  }

  stop() {
    this.starting = null;
    this.controls.playing(false);
    this.awake.want(false);
    if (!this.isPlaying) return;
    clearInterval(this.timer);
    this.showing.end();
    this.sounding.silence();
    this.playing = null;
    document.body.classList.remove("playing");
    this.staff.rest();
    this.refit();
    this.controls.show();
    this.say("Stopped");
  }

  /** Begin the chosen bars again. */
  fromTheTop() {
    if (!this.isPlaying) {
      this.start();
      return;
    }
    this.sounding.silence();
    this.staff.rest();
    this.begin(true);
    this.ahead();
  }

  ahead() {
    if (!this.isPlaying) return;
    const seconds = document.visibilityState === "hidden" ? HANDED_AHEAD_HIDDEN_S : HANDED_AHEAD_S;
    this.playing.run(this.sounding.context.currentTime + seconds);
    const over = this.heard() - this.playing.endTime;
    if (over > RING_S || (over > 0 && !this.sounding.ringing.size)) this.stop();
  }

  strike(sound, time) {
    const { voices, click } = this.phrase;
    this.showing.add(sound, time);
    if (sound.kind === "click") {
      const voice = voices[click.voices[sound.marked]];
      this.sounding.strike(voice, click.velocities[sound.marked], time, { click: true });
      return;
    }
    const loudest = this.audible(sound).sort((one, other) => other.velocity - one.velocity)[0];
    if (loudest) this.sounding.strike(voices[loudest.voice], loudest.velocity, time);
  }

  audible(sound) {
    return (sound.strokes ?? []).filter(({ limb, voice }) => !this.isSilent(this.limbOf(limb), this.phrase.voices[voice].name));
  }

  limbOf(limb) {
    return this.habits.lefty ? ({ R: "L", L: "R" }[limb] ?? limb) : limb;
  }

  isSilent(limb, voice) {
    return this.set.silentLimbs.has(limb) || this.set.silentVoices.has(voice);
  }

  /** The time of the audio clock that is heard now. */
  heard() {
    const { context } = this.sounding;
    return context.currentTime - (context.outputLatency || context.baseLatency || 0) - this.habits.late / 1000;
  }

  // -- changes

  setTempo(tempo) {
    this.set.tempo = tempo;
    if (this.set.ladder) this.setLadder(false);
    rememberTempo(this.phrase, tempo);
    this.tempoChanged();
  }

  setHalf(half) {
    this.set.half = half;
    this.tempoChanged();
  }

  setLadder(on) {
    this.set.ladder = on ? this.set.rungs : null;
    if (!on) for (const span of this.playing?.spans ?? []) span.tempo = null;
    this.orderChanged(on);
    this.playing?.tempoChanged();
    this.controls.show();
  }

  tempoChanged() {
    this.playing?.tempoChanged();
    this.controls.show();
    const { tempo, half } = this.set;
    this.say(`${this.phrase.unit} ${tempoWords(half ? tempo / 2 : tempo)}`);
  }

  orderChanged(restart) {
    this.playing?.orderChanged({ restart });
    this.changed();
  }

  /** What the staff shows of the settings. */
  changed() {
    this.staff.exchangeHands(this.habits.lefty);
    this.staff.count(this.habits.counts);
    this.staff.grey((limb, voice) => this.isSilent(limb, voice), this.set, this.phrase.bars.at(-1)[0]);
  }

  /** What holds for the whole page has changed. */
  habitsChanged() {
    keepHabits(this.habits);
    const { sticking, counts, paper } = this.habits;
    document.body.classList.toggle("no-sticking", !sticking);
    document.body.classList.toggle("counted", counts);
    if (paper) document.documentElement.dataset.paper = paper;
    else delete document.documentElement.dataset.paper;
    if (this.isPlaying) this.awake.want(this.habits.awake);
    this.levels();
    this.changed();
    this.refit();
  }

  levels() {
    this.sounding?.level(this.habits.drums / 100, this.habits.click / 100);
    this.sounding?.sides(this.set.clickSide);
  }

  say(words) {
    this.said ??= document.getElementById("said");
    this.said.textContent = words;
  }
}

const page = new Page(JSON.parse(document.getElementById("phrases").textContent));

// For tests, and for whoever wants to look: the page and what it plays with.
globalThis.audition = { page, Playing, Sound };
