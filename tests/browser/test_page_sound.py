"""The page's sound, as its own clips make it, beside the WAV file of the same phrase."""

import base64
from pathlib import Path
from typing import Literal

import numpy as np
import pytest
import soundfile
from page_room import Opener

from drumgen.audio.shots import choose_sound
from drumgen.audio.soundfont import built_in_soundfont, open_soundfont
from drumgen.audition import render_page
from drumgen.clicks import ClickSound
from drumgen.composing import Composition, Settings
from drumgen.phrase import Phrase
from drumgen.plan import arrange
from drumgen.practice import Practice

RATE = 44_100
SECONDS = 25

PLAYED = """async ({ rate, seconds }) => {
  const { page, Playing, Sound } = audition;
  const context = new OfflineAudioContext(2, rate * seconds, rate);
  const sound = new Sound(context, page.data.sound);
  await sound.load();
  page.sounding = sound;
  page.habits.drums = 100;
  page.habits.click = 100;
  page.levels();
  page.set.times = 1;
  const playing = new Playing(page.phrase, page.set, { time: 0.5, strike: (one, time) => page.strike(one, time) });
  for (let now = 0; now < seconds; now += 0.025) playing.run(now + 0.15);
  const buffer = await context.startRendering();
  const whole = [0, 1].map((ear) => new Uint8Array(buffer.getChannelData(ear).buffer));
  return whole.map((bytes) => {
    let text = "";
    for (let at = 0; at < bytes.length; at += 32768) text += String.fromCharCode(...bytes.subarray(at, at + 32768));
    return btoa(text);
  });
}"""


@pytest.mark.parametrize("side", ["both", "left", "right"])
def test_the_page_sounds_as_the_wav_file_does(
    open_page: Opener, millrace: Phrase, tmp_path: Path, side: Literal["both", "left", "right"]
) -> None:
    """Levels, sides and choked hi-hats: correlation in each ear, and loudness, over the whole phrase.

    With the click in one ear the drums lean to the other, by the same law.
    """
    practice = Practice(click=None if side == "both" else "quarters", click_sound=ClickSound(side=side))
    path, wav = tmp_path / "steady.html", tmp_path / "steady.wav"
    sound = choose_sound(open_soundfont(built_in_soundfont()), seed=None)
    path.write_text(render_page(millrace, sound=sound, practice=[practice]).text, "utf-8")
    write = Composition(arrange(millrace, practice), Settings(vary=False)).writer(wav)
    with wav.open("w+b") as out:
        write(out)
    wanted, _ = soundfile.read(wav, dtype="float32")
    found = open_page(path).evaluate(PLAYED, {"rate": RATE, "seconds": SECONDS})
    ears = np.stack([np.frombuffer(base64.b64decode(ear), dtype="<f4") for ear in found], axis=1)[RATE // 2 :]
    length = min(len(ears), len(wanted))
    ears, wanted = ears[:length], wanted[:length]
    for ear in (0, 1):
        assert np.corrcoef(ears[:, ear], wanted[:, ear])[0, 1] > 0.99
        assert abs(20 * np.log10(ears[:, ear].std() / wanted[:, ear].std())) < 0.2
    assert abs(20 * np.log10(ears.std() / wanted.std())) < 0.2
