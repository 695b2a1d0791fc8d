// Sound: clips struck at exact times of the audio clock, drums and click each at their own level.

const FADE_RATE = 500 / 20 / Math.LOG10E; // 500 dB a second, as a share of what is left
const FADE_S = 0.144;
const DRUMS_ASIDE = 0.6; // how far the drums lean away from the ear that has the click

// Repeated strokes differ a little in loudness (dB) and pitch (cents), never in time.
const VARIANTS = [[0, 0], [-0.4, 4], [0.3, -3], [-0.2, -5]];

function bytesOf(base64) {
  const text = atob(base64);
  const bytes = new Uint8Array(text.length);
  for (let index = 0; index < text.length; index += 1) bytes[index] = text.charCodeAt(index);
  return bytes.buffer;
}

/** Draws what a node plays towards one ear: there the sum of both sides at equal power, in the other ear less. */
class Aside {
  constructor(context, node) {
    const split = new ChannelSplitterNode(context, { numberOfOutputs: 2 });
    const merge = new ChannelMergerNode(context, { numberOfInputs: 2 });
    Object.assign(node, { channelCount: 2, channelCountMode: "explicit" }); // a mono clip is in both ears
    node.connect(split);
    this.gains = [0, 1].map((from) => [0, 1].map((to) => {
      const gain = new GainNode(context, { gain: from === to ? 1 : 0 });
      split.connect(gain, from).connect(merge, 0, to);
      return gain.gain;
    }));
    merge.connect(context.destination);
  }

  /** How far, from -1 (all in the left ear) to 1. */
  draw(side) {
    const much = Math.abs(side);
    const near = side < 0 ? 0 : 1;
    this.gains[near][near].value = 1 - much + much * Math.SQRT1_2;
    this.gains[1 - near][near].value = much * Math.SQRT1_2;
    this.gains[1 - near][1 - near].value = 1 - much;
    this.gains[near][1 - near].value = 0;
  }
}

/** Everything that sounds on one audio context; `data` has the clips and how each key and velocity uses them. */
export class Sound {
  constructor(context, data) {
    this.context = context;
    this.data = data;
    this.drums = new GainNode(context);
    this.click = new GainNode(context);
    this.drumsAside = new Aside(context, this.drums);
    this.clickAside = new Aside(context, this.click);
    this.ringing = new Map();
    this.turns = new Map();
  }

  /** Decode the clips; nothing can be struck before. */
  async load() {
    const decode = async ({ flac, left, right }) => {
      const buffer = await this.context.decodeAudioData(bytesOf(flac));
      return { buffer, ...this.balanced(buffer, left, right) };
    };
    this.clips = await Promise.all(this.data.clips.map(decode));
  }

  // A mono clip louder in one ear than in the other is panned (at equal power), and turned to its loudness.
  balanced(buffer, left, right) {
    if (buffer.numberOfChannels > 1 || left === right) return { pan: 0, gain: left };
    return { pan: (Math.atan2(right, left) * 4) / Math.PI - 1, gain: Math.hypot(left, right) };
  }

  /** Loudness from 0 to 1 of the drums and of the click. */
  level(drums, click) {
    this.drums.gain.value = drums ** 2;
    this.click.gain.value = click ** 2;
  }

  /** The click in one ear (`left` or `right`), the drums leaning to the other; or `both`, everything where it is. */
  sides(side) {
    const much = { left: -1, right: 1 }[side] ?? 0;
    this.clickAside.draw(much);
    this.drumsAside.draw(-DRUMS_ASIDE * much);
  }

  /** Strike a voice at a time (seconds of the audio clock). */
  strike({ sounds: key, choke }, velocity, time, { click = false } = {}) {
    const use = this.data.uses[`${key} ${velocity}`];
    if (!use) return;
    const [number, loudness] = use;
    const clip = this.clips[number];
    const [decibels, cents] = click ? VARIANTS[0] : this.variant(key, velocity);
    const source = new AudioBufferSourceNode(this.context, { buffer: clip.buffer, playbackRate: 2 ** (cents / 1200) });
    const gain = new GainNode(this.context, { gain: clip.gain * loudness * 10 ** (decibels / 20) });
    const end = clip.pan ? gain.connect(new StereoPannerNode(this.context, { pan: clip.pan })) : gain;
    source.connect(gain);
    end.connect(click ? this.click : this.drums);
    source.start(time);
    const ring = { source, gain, key, time, choke, end };
    this.ringing.set(source, ring);
    source.onended = () => {
      this.ringing.delete(source);
      end.disconnect();
    };
    if (choke && !click) this.choke(ring);
  }

  variant(key, velocity) {
    if (!this.data.vary) return VARIANTS[0];
    const turn = this.turns.get(`${key} ${velocity}`) ?? 0;
    this.turns.set(`${key} ${velocity}`, turn + 1);
    return VARIANTS[(turn * 3 + (turn >> 2)) % VARIANTS.length];
  }

  // A stroke ends what rings of other voices of its group, and is ended by one that was handed on before it.
  choke(struck) {
    for (const ring of this.ringing.values()) {
      if (ring.choke !== struck.choke || ring.key === struck.key) continue;
      if (ring.time < struck.time) this.fade(ring, struck.time);
      else if (ring.time > struck.time) this.fade(struck, ring.time);
    }
  }

  fade(ring, time) {
    if (ring.fadesAt <= time) return;
    ring.fadesAt = time;
    ring.gain.gain.setTargetAtTime(0, time, 1 / FADE_RATE);
    ring.source.stop(time + FADE_S);
  }

  /** End everything that rings, and what was handed on and has not sounded. */
  silence() {
    const now = this.context.currentTime;
    for (const { source, gain, time } of this.ringing.values()) {
      if (time > now) source.stop();
      else {
        gain.gain.setTargetAtTime(0, now, 0.015);
        source.stop(now + 0.1);
      }
    }
  }
}
