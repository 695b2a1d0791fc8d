"""What the tests of the audition page share: opening it, and playing it offline."""

import io
import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, NoReturn

import mido
import pytest
from drum_room import DEMO_PHRASES
from playwright.sync_api import Page

from drumgen.midi.write import render_midi
from drumgen.performing import perform
from drumgen.phrase import Phrase
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.spec.loading import load_phrase

ROOT = Path(__file__).resolve().parents[1]
DEMO = sorted(DEMO_PHRASES)
AXE = ROOT / ".venv" / "axe" / "node_modules" / "axe-core" / "axe.min.js"
CHROMIUM = (
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"),
    *("--disable-component-update", "--disable-sync", "--autoplay-policy=no-user-gesture-required"),
)
RATE = 48_000
START_S = 1.0

Opener = Callable[..., Page]

# Plays a phrase as the page does, 25 ms by 25 ms, into an offline context; `changes` are tempos set on the way. Every
# clip is replaced by four frames, so that an onset is where they begin and nothing is left to a detector.
OFFLINE = """async ({index, values, seconds, changes, rate, start}) => {
  const { page, Playing, Sound } = audition;
  const context = new OfflineAudioContext(2, Math.ceil((start + seconds) * rate), rate);
  const sound = new Sound(context, page.data.sound);
  await sound.load();
  const frames = new AudioBuffer({ length: 4, numberOfChannels: 1, sampleRate: rate });
  frames.getChannelData(0).fill(1);
  for (const clip of sound.clips) clip.buffer = frames;
  page.choose(index);
  Object.assign(page.set, values);
  page.sounding = sound;
  const horizons = [];
  const strike = (each, time) => page.strike(each, time);
  const playing = new Playing(page.phrase, page.set, { time: start, strike });
  for (let now = 0; now < start + seconds; now += 0.025) {
    while (changes.length && changes[0][0] + start <= now) {
      page.set.tempo = changes.shift()[1];
      playing.tempoChanged();
      horizons.push(playing.horizon - start);
    }
    playing.run(now + 0.15);
  }
  const buffer = await context.startRendering();
  const heard = new Set();
  for (const channel of [0, 1]) buffer.getChannelData(channel).forEach((value, at) => value && heard.add(at));
  const onsets = [...heard].filter((at) => !heard.has(at - 1)).sort((one, other) => one - other);
  return { onsets: onsets.map((at) => at / rate - start), horizons };
}"""


def missing(what: str) -> NoReturn:
    """Say what is not here: a skipped test, and with CI=true a failed one."""
    if os.environ.get("CI") == "true":
        pytest.fail(f"with CI=true nothing may be missing: {what}")
    pytest.skip(f"{what} is not installed")


def phrase_of(folder: Path, text: str) -> Phrase:
    """A phrase from the text of its file."""
    path = folder / "phrase.toml"
    path.write_text(text, "utf-8")
    return load_phrase(str(path)).phrase


def midi_onsets(phrase: Phrase, practice: Practice) -> tuple[list[float], float]:
    """The onsets of a phrase's MIDI file in seconds, read by mido, and its end."""
    content = render_midi(perform(arrange(phrase, practice)))
    now, onsets = 0.0, []
    for message in mido.MidiFile(file=io.BytesIO(content), charset="utf-8"):
        now += message.time
        if message.type == "note_on" and message.velocity:
            onsets.append(now)
    return onsets, now


def played_offline(
    page: Page, *, seconds: float, values: dict[str, Any], changes: Sequence[Any] = (), index: int = 0
) -> tuple[list[float], list[float]]:
    """The onsets (seconds) of a phrase that the page plays with some settings, and the horizons of its changes."""
    asked = {"index": index, "values": values, "seconds": seconds, "changes": [*changes]}
    found = page.evaluate(OFFLINE, asked | {"rate": RATE, "start": START_S})
    return found["onsets"], found["horizons"]


def largest_error_ms(found: Sequence[float], wanted: Sequence[float]) -> float:
    """How far the onsets of each are from the nearest of the other, at most, in milliseconds."""
    assert len(found) > 10
    assert len(wanted) > 10
    there = max(min(abs(one - other) for other in wanted) for one in found)
    back = max(min(abs(one - other) for other in found) for one in wanted)
    return 1000 * max(there, back)
