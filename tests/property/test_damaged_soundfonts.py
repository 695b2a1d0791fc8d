"""No file makes a traceback: a damaged SoundFont plays or is refused, within bounds of time and memory."""

from __future__ import annotations

import contextlib
from functools import lru_cache

import numpy as np
from audio_fonts import sine
from hypothesis import given, settings
from hypothesis import strategies as st
from soundfont_writer import Font, Recording, Region, range_amount, write_font

from drumgen.audio.soundfont import read_soundfont
from drumgen.audio.synthesis import LONGEST_S, render_stroke
from drumgen.errors import DrumgenError

RATE = 44100


@lru_cache
def font_bytes() -> bytes:
    recordings = (Recording(sine(441, 0.05), loop=(100, 300)), Recording(sine(900, 0.02), "second"))
    zones = (
        Region(((48, 20), (17, -100)), None),
        Region(((43, range_amount(30, 60)), (54, 1), (36, -1200), (37, 1000), (8, 9000), (11, 2000)), 0),
        Region(((43, range_amount(50, 90)), (7, 300), (51, 2), (5, 20)), 1, ((0x0502, 48, 700, 0, 0),)),
    )
    return write_font(Font(recordings, (zones,)))


def play(view: bytes) -> None:
    with contextlib.suppress(DrumgenError):
        font = read_soundfont(view, name="x.sf2")
        for program in list(font.programs)[:2]:
            for key, velocity in ((36, 100), (55, 1), (55, 127), (80, 64)):
                with contextlib.suppress(DrumgenError):
                    frames = render_stroke(font, program=program, key=key, velocity=velocity, rate=RATE)
                    assert len(frames) <= LONGEST_S * RATE
                    assert np.isfinite(frames).all()


@settings(max_examples=150, deadline=20_000)
@given(st.lists(st.tuples(st.integers(0, len(font_bytes()) - 1), st.integers(0, 255)), min_size=1, max_size=8))
def test_bytes_changed_anywhere_play_or_are_refused(changes: list[tuple[int, int]]) -> None:
    view = bytearray(font_bytes())
    for at, value in changes:
        view[at] = value
    play(bytes(view))


@settings(max_examples=150, deadline=20_000)
@given(st.data())
def test_bytes_changed_in_the_tables_play_or_are_refused(data: st.DataObject) -> None:
    view = bytearray(font_bytes())
    first = view.index(b"pdta")
    for at, value in data.draw(
        st.lists(st.tuples(st.integers(first, len(view) - 1), st.integers(0, 255)), min_size=1, max_size=5)
    ):
        view[at] = value
    play(bytes(view))


@settings(max_examples=60, deadline=20_000)
@given(st.binary(max_size=400))
def test_anything_after_a_riff_head_is_refused(body: bytes) -> None:
    play(b"RIFF" + len(body).to_bytes(4, "little") + b"sfbk" + body)


@settings(max_examples=80, deadline=20_000)
@given(
    st.lists(st.tuples(st.integers(0, 60), st.integers(-32768, 32767)), max_size=12),
    st.lists(
        st.tuples(
            st.integers(0, 65535), st.integers(0, 65535), st.integers(-32768, 32767), st.integers(0, 65535), st.just(0)
        ),
        max_size=4,
    ),
)
def test_any_generators_and_modulators_play_or_are_refused(
    generators: list[tuple[int, int]], modulators: list[tuple[int, int, int, int, int]]
) -> None:
    allowed = tuple(pair for pair in generators if pair[0] not in {41, 43, 44, 53})
    recording = Recording(sine(441, 0.02), loop=(100, 300))
    play(write_font(Font((recording,), ((Region(allowed, 0, tuple(modulators)),),))))
