"""Learning a kit from strokes: what is understood, and what is asked back."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from drumgen.midi.read import read_take
from drumgen.spec.kit_file import KitFile
from drumgen.spec.loading import load_kit, read_kit
from drumgen.spec.validation import without_faulty
from drumgen.spec.writing import render_kit_file
from drumgen.study.learn import Learned, learn

if TYPE_CHECKING:
    from collections.abc import Sequence

    from drumgen.take import Take

Struck = tuple[int, int, int]
"""A key, how often it is struck, and the pedal's value before it (-1: none)."""

HATS = [(22, 4, 120), (22, 4, 60), (22, 4, 4)]
ORDER = ("kick", "snare", "hihat", "hihat-half", "hihat-open", "crash")


def capture(rows: Sequence[Struck], *, also: Sequence[tuple[int, int, int]] = ()) -> Take:
    """Strokes of an invented module at rising force, four a second, two seconds between voices.

    ``also`` are (row, key, velocity) that sound 5 ms after the row's last stroke.
    """
    body, wait = bytearray(), 0

    def delta(ticks: int) -> bytes:
        return bytes([0x80 | ticks >> 7, ticks & 0x7F])

    for number, (key, times, pedal) in enumerate(rows):
        if pedal >= 0:
            body.extend(delta(wait) + bytes([0xB9, 4, pedal]))
            wait = 0
        for turn in range(times):
            body.extend(delta(wait) + bytes([0x99, key, 30 + 25 * turn]))
            wait = 250
        for row, other, velocity in also:
            if row == number:
                body.extend(delta(5) + bytes([0x99, other, velocity]))
                wait = 245
        wait += 2000
    track = bytes(body) + b"\x00\xff\x2f\x00"
    header = b"MThd\x00\x00\x00\x06\x00\x00\x00\x01\x01\xf4"  # 500 ticks to the quarter at 120: a tick is 1 ms
    content = header + b"MTrk" + len(track).to_bytes(4, "big") + track
    return read_take(content, kit=load_kit("five-piece"))


def learned(rows: Sequence[Struck], order: Sequence[str] = ORDER, **answers: dict[str, int]) -> Learned:
    return learn(capture(rows), order=order, base=load_kit("five-piece"), notes=answers.get("notes"))


def test_one_stroke_is_told_as_one() -> None:
    found = learned([(36, 1, -1), (40, 4, -1), *HATS, (57, 3, -1)])
    assert str(found.pads[0]) == "kick: note 36, 1 stroke, velocities 30 to 30"


def test_a_kit_is_learned_and_can_be_read() -> None:
    found = learned([(36, 4, -1), (40, 4, -1), *HATS, (57, 3, -1)])
    assert found.questions == ()
    assert [str(pad) for pad in found.pads] == [
        "kick: note 36, 4 strokes, velocities 30 to 105",
        "snare: note 40, 4 strokes, velocities 30 to 105",
        "hihat: note 22, 4 strokes, velocities 30 to 105, pedal 120",
        "hihat-half: note 22, 4 strokes, velocities 30 to 105, pedal 60",
        "hihat-open: note 22, 4 strokes, velocities 30 to 105, pedal 4",
        "crash: note 57, 3 strokes, velocities 30 to 80",
    ]
    file, faults = without_faulty(KitFile, found.table)
    assert file is not None
    assert not faults
    kit = read_kit(render_kit_file(file), name="mine", file="mine.toml")
    assert {name: (voice.key, voice.pedal) for name, voice in kit.voices.items() if name.startswith("hihat")} == {
        "hihat": (22, 120),
        "hihat-half": (22, 60),
        "hihat-open": (22, 4),
    }
    assert kit.voices["kick"].limb == "kick foot"
    assert kit.voices["crash"].x_cm == load_kit("five-piece").voices["crash"].x_cm


def test_another_number_of_voices_is_asked_back_with_what_was_heard() -> None:
    found = learned([(36, 4, -1), (38, 4, -1)], order=("kick", "snare", "ride"))
    assert found.questions == (
        "3 voices were asked for and 2 groups of strokes heard: a longer or shorter --pause, or another --order?",
        "at 0.0 s: note 36 (4); asked for here: kick",
        "at 3.0 s: note 38 (4); asked for here: snare",
    )


def test_two_notes_of_one_voice_are_asked_back_and_answered() -> None:
    take = capture([(36, 4, -1)], also=[(0, 35, 100)])
    base = load_kit("five-piece")
    question = "kick: note 35 (1), note 36 (4); which is it? answer with --note kick=36"
    assert learn(take, order=("kick",), base=base).questions == (question,)
    answered = learn(take, order=("kick",), base=base, notes={"kick": 36})
    assert answered.questions == ()
    assert answered.pads[0].key == 36
    wrong = learn(take, order=("kick",), base=base, notes={"kick": 99})
    assert wrong.questions == ("kick: --note says 99, heard note 35 (1), note 36 (4)",)


def test_a_soft_stroke_of_another_pad_at_the_same_moment_is_crosstalk() -> None:
    take = capture([(36, 4, -1)], also=[(0, 43, 9)])
    found = learn(take, order=("kick",), base=load_kit("five-piece"))
    assert found.questions == ()
    assert found.remarks == ("kick: soft strokes of note 43 at the same moment taken for crosstalk",)


def test_one_note_for_two_voices_is_asked_back_unless_the_pedal_tells() -> None:
    rows = [(38, 4, -1), (38, 4, -1)]
    question = "snare and rimshot: both send note 38; if they are one pad, answer with --same rimshot=snare"
    assert learned(rows, order=("snare", "rimshot")).questions == (question,)
    hats = learned([(42, 4, 60), (42, 4, 64)], order=("hihat", "hihat-open"))
    apart = "and the pedal (controller 4) does not tell them apart; if they are one pad"
    line = f"hihat and hihat-open: both send note 42, {apart}, answer with --same hihat-open=hihat"
    assert hats.questions == (line,)


def test_a_voice_on_anothers_pad_is_played_instead() -> None:
    found = learn(
        capture([(38, 4, -1)]), order=("snare", "rimshot"), base=load_kit("five-piece"), same={"rimshot": "snare"}
    )
    assert found.questions == ()
    assert found.table["voices"]["rimshot"] == {"instead": "snare"}


def test_a_pad_that_was_struck_for_both_its_voices_is_answered_on_the_same_capture() -> None:
    """The answer that the question names is one that can be given."""
    base = load_kit("five-piece")
    take = capture([(38, 4, -1), (38, 4, -1), (36, 4, -1)])
    order = ("snare", "rimshot", "kick")
    assert learn(take, order=order, base=base).questions[0].endswith("answer with --same rimshot=snare")
    answered = learn(take, order=order, base=base, same={"rimshot": "snare"})
    assert answered.questions == ()
    assert answered.table["voices"]["rimshot"] == {"instead": "snare"}
    assert [pad.voice for pad in answered.pads] == ["snare", "kick"]
    wrong = learn(take, order=order, base=base, same={"rimshot": "kick"})
    assert wrong.questions == ("rimshot: --same says kick, which sends note 36; heard note 38 (4)",)


def test_strokes_on_another_channel_are_told_where_too_few_are_heard() -> None:
    take = replace(capture([(38, 4, -1)]), hits=(), pedals=(), other_channels=((1, 8),))
    assert learn(take, order=("snare",), base=load_kit("five-piece")).questions[1:] == (
        "notes on channel 1 (8) were left out: --channel 1 reads them",
    )


def test_one_voice_is_asked_for() -> None:
    asked, *_ = learned([(36, 2, -1), (38, 2, -1)], order=("kick",)).questions
    assert asked.startswith("1 voice was asked for and 2 groups of strokes heard: ")


def test_one_stroke_is_too_few() -> None:
    assert learned([(36, 1, -1)], order=("kick",)).questions == ("kick: struck 1 time, expected 2 or more",)


def test_a_voice_that_the_base_does_not_have_is_a_note_alone() -> None:
    assert learned([(60, 3, -1)], order=("anvil",)).table["voices"]["anvil"] == {"note": 60}
