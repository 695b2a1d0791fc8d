"""Laws that every phrase keeps, whatever it says and however it is practised: of its ticks, its notes and its files."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, assume, example, given, settings
from hypothesis import strategies as st
from smf_music import in_order, metas, notes, onsets, overlaps, texts
from smf_reader import END_OF_TRACK, METER, TEMPO, File, read_smf
from strategies import general_midi, phrase_of, phrases, stickings, valid_phrases, ways_to_practise

from drumgen.errors import DrumgenError
from drumgen.midi.events import TRACK_WAYS
from drumgen.midi.write import render_midi
from drumgen.note_values import GRAINS_PER_QUARTER
from drumgen.performing import outline, perform
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.spec.document import decode
from drumgen.spec.layering import Overrides
from drumgen.spec.loading import read_phrase
from drumgen.spec.resolving import Resolver
from drumgen.spec.writing import render_phrase_file
from drumgen.strokes import strokes

if TYPE_CHECKING:
    from collections.abc import Callable

    from drumgen.midi.events import Tracks
    from drumgen.performance import Hit, Performance
    from drumgen.phrase import Phrase
    from drumgen.spec.layering import Overrides as Said
    from drumgen.spec.phrase_file import PhraseFile
    from drumgen.sticking import Sticking

law = settings(deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow])
quick = settings(deadline=None, max_examples=200, suppress_health_check=[HealthCheck.too_slow])

WAYS = ways_to_practise()
TRACKS = st.sampled_from(TRACK_WAYS)
VOICES = sorted({"snare", "kick", "hihat", "floor-tom", "ride", "crash", "hihat-foot", "high-tom"})


def played(phrase: Phrase, practice: Practice | None = None) -> Performance:
    return perform(arrange(phrase, practice or Practice()))


def file_of(phrase: Phrase, practice: Practice | None = None, *, tracks: Tracks = "one") -> File:
    return read_smf(render_midi(played(phrase, practice), tracks=tracks))


def phrase_under(file: PhraseFile, overrides: Said) -> Phrase:
    """The phrase of a file under what the command line says of its hands."""
    found = Resolver(file, general_midi(), overrides).phrase("generated")
    assert found is not None
    return found


def sounds(hits: tuple[Hit, ...]) -> list[tuple[int, int, int]]:
    return [(hit.tick, hit.key, hit.velocity) for hit in hits]


# -- exact time


@law
@given(phrases(feel=False), WAYS)
def test_before_feel_every_stroke_stands_on_its_exact_tick(phrase: Phrase, practice: Practice) -> None:
    performance = played(phrase, practice)
    for hit in performance.hits:
        if hit.kind in ("stroke", "click"):
            assert hit.tick * GRAINS_PER_QUARTER == hit.place * performance.ppq
            assert hit.moved_us == 0


@law
@given(phrases(feel=False), WAYS)
def test_every_stroke_of_the_plan_is_heard_and_no_other(phrase: Phrase, practice: Practice) -> None:
    plan = arrange(phrase, practice)
    performance = perform(plan)
    wanted = {
        ((span.start + stroke.place) * performance.ppq // GRAINS_PER_QUARTER, phrase.kit.voice(stroke.voice).key)
        for span, laid in strokes(plan)
        for stroke in laid.strokes
    }
    assert wanted <= {(hit.tick, hit.key) for hit in performance.hits}
    assert {(hit.tick, hit.key) for hit in performance.hits if hit.kind == "stroke"} <= wanted


@law
@given(phrases(), WAYS)
def test_bars_follow_one_another_and_durations_add_up_to_them(phrase: Phrase, practice: Practice) -> None:
    plan = arrange(phrase, practice)
    assert plan.spans[0].start == 0
    for before, after in pairwise(plan.spans):
        assert after.start == before.start + before.meter.grains
    for span, laid in strokes(plan):
        assert all(0 <= stroke.place < span.meter.grains for stroke in laid.strokes)
        if span.kind == "bar" and span.bar and span.bar.layer.subdivision and not span.bar.parts:
            assert sum(slot.grains for slot in laid.slots) == span.meter.grains
            assert all(one.start + one.grains == other.start for one, other in pairwise(laid.slots))
    assert played(phrase, practice).end_tick * GRAINS_PER_QUARTER == plan.grains * played(phrase, practice).ppq


@law
@given(phrases(), WAYS, st.sampled_from([None, 1, 4, 24, 480]))
def test_an_outline_is_the_performance_without_its_hits_and_is_refused_where_that_is(
    phrase: Phrase, practice: Practice, ppq: int | None
) -> None:
    def made(how: Callable[..., Performance]) -> Performance | str:
        try:
            return how(arrange(phrase, practice), ppq=ppq)
        except DrumgenError as error:
            return str(error)

    whole = made(perform)
    assert made(outline) == (whole if isinstance(whole, str) else replace(whole, hits=(), letters=()))


# -- the file


@law
@given(phrases(), WAYS, TRACKS)
def test_the_file_says_what_was_performed(phrase: Phrase, practice: Practice, tracks: Tracks) -> None:
    performance = played(phrase, practice)
    file = read_smf(render_midi(performance, tracks=tracks))
    assert sorted((hit.tick, hit.key, hit.velocity) for hit in performance.hits) == sorted(
        (onset.tick, onset.key, onset.velocity) for onset in onsets(file)
    )
    assert {onset.channel for onset in onsets(file)} <= {9}


@law
@given(phrases(), WAYS, TRACKS)
def test_gaps_add_up_to_the_last_tick_which_is_a_bar_line(phrase: Phrase, practice: Practice, tracks: Tracks) -> None:
    plan = arrange(phrase, practice)
    performance = perform(plan)
    for track in read_smf(render_midi(performance, tracks=tracks)).tracks:
        gaps = [after.tick - before.tick for before, after in pairwise(track.events)]
        assert all(gap >= 0 for gap in gaps)
        assert track.events[0].tick + sum(gaps) == track.end_tick == performance.end_tick
        assert track.events[-1].meta == END_OF_TRACK
    assert plan.grains * performance.ppq == performance.end_tick * GRAINS_PER_QUARTER


@law
@given(phrases(), WAYS, TRACKS)
def test_notes_never_overlap_and_offs_come_first(phrase: Phrase, practice: Practice, tracks: Tracks) -> None:
    file = file_of(phrase, practice, tracks=tracks)
    assert not overlaps(file)
    for note in notes(file):
        assert note.length_ticks >= 1
        assert 1 <= note.velocity <= 127
    hits = [(onset.tick, onset.key) for onset in onsets(file)]
    assert len(set(hits)) == len(hits)
    for track in file.tracks:
        rows = [(event.tick, event.status == 0x99) for event in track.events if event.status in (0x89, 0x99)]
        assert rows == sorted(rows)


@law
@given(phrases(), WAYS)
def test_no_hit_stands_before_the_start_or_on_the_end(phrase: Phrase, practice: Practice) -> None:
    performance = played(phrase, practice)
    assert all(0 <= hit.tick < performance.end_tick for hit in performance.hits)


@law
@given(phrases(), WAYS)
def test_meters_tempos_and_markers_stand_on_bar_lines_or_between(phrase: Phrase, practice: Practice) -> None:
    plan = arrange(phrase, practice)
    performance = perform(plan)
    lines = [span.start * performance.ppq // GRAINS_PER_QUARTER for span in plan.spans]
    assert [words.tick for words in performance.markers] == [*lines, performance.end_tick]
    assert {change.tick for change in performance.meters} <= set(lines)
    file = read_smf(render_midi(performance))
    assert metas(file, METER)[0].tick == metas(file, TEMPO)[0].tick == 0
    assert texts(file)[0].content.decode() == phrase.title


@law
@given(phrases(), WAYS, TRACKS)
def test_the_same_phrase_gives_the_same_bytes(phrase: Phrase, practice: Practice, tracks: Tracks) -> None:
    assert render_midi(played(phrase, practice), tracks=tracks) == render_midi(played(phrase, practice), tracks=tracks)


@law
@given(phrases(), WAYS)
def test_tracks_differ_only_in_where_events_stand(phrase: Phrase, practice: Practice) -> None:
    performance = played(phrase, practice)
    by_way = [
        Counter(
            (event.tick, event.kind, event.status, event.data)
            for _, event in in_order(read_smf(render_midi(performance, tracks=tracks)))
            if event.kind == "channel"
        )
        for tracks in TRACK_WAYS
    ]
    assert by_way[0] == by_way[1] == by_way[2]


# -- hands


@quick
@given(stickings())
def test_exchanging_the_hands_twice_is_nothing(sticking: Sticking) -> None:
    assert sticking.mirrored().mirrored() == sticking


@quick
@given(stickings())
def test_leading_with_one_hand_and_then_the_other_is_nothing(sticking: Sticking) -> None:
    led = {hand: sticking.led_by(hand) for hand in ("R", "L")}
    assert sticking in led.values()
    assert led["R"].led_by("L") == led["L"]
    assert led["L"].led_by("R") == led["R"]


@quick
@given(stickings(), st.data())
def test_starting_from_a_stroke_and_then_back_is_nothing(sticking: Sticking, data: st.DataObject) -> None:
    assume(sticking.signs[0].limb != "-")  # the first stroke of one that begins with a rest stands after it
    number = data.draw(st.integers(1, sticking.strokes))
    started = sticking.started_at(number)
    assert started.strokes == sticking.strokes
    back = sticking.strokes - number + 2 if number > 1 else 1
    assert started.started_at(back) == sticking


@law
@given(valid_phrases(), WAYS)
def test_a_left_hander_hears_what_a_right_hander_hears(file: PhraseFile, practice: Practice) -> None:
    right = played(phrase_under(file, Overrides(handed="right")), practice)
    left = played(phrase_under(file, Overrides(handed="left")), practice)
    assert sorted(sounds(right.hits)) == sorted(sounds(left.hits))
    assert [words.tick for words in right.letters] == [words.tick for words in left.letters]


# -- what is asked for


@law
@given(phrases(), WAYS, st.sets(st.sampled_from(VOICES), min_size=1, max_size=3))
def test_muting_takes_away_what_is_muted_and_moves_nothing_else(
    phrase: Phrase, practice: Practice, voices: set[str]
) -> None:
    whole = played(phrase, practice)
    keys = {phrase.kit.voice(name).key for name in voices}
    muted = played(phrase, replace(practice, mute=tuple(sorted(voices))))
    assert [hit for hit in sounds(muted.hits) if hit[1] not in keys] == [
        hit for hit in sounds(whole.hits) if hit[1] not in keys
    ]
    assert not [hit for hit in muted.hits if hit.voice in voices and hit.kind != "click"]
    assert muted.end_tick == whole.end_tick


@law
@given(phrases(), WAYS, st.sampled_from([("R", "L"), ("K", "H"), ("R",), ("L",), ("K",)]))
def test_leaving_limbs_out_moves_no_other(phrase: Phrase, practice: Practice, limbs: tuple[str, ...]) -> None:
    whole = played(phrase, practice)
    some = played(phrase, replace(practice, limbs=limbs))  # type: ignore[arg-type]
    assert {hit.limb for hit in some.hits} <= {*limbs, "click"}
    assert {(hit.tick, hit.key) for hit in some.hits} <= {(hit.tick, hit.key) for hit in whole.hits}
    others = {(hit.tick, hit.key) for hit in whole.hits if hit.limb in limbs}
    assert others <= {(hit.tick, hit.key) for hit in some.hits}


@law
@given(phrases(feel=False))
def test_a_loop_has_the_strokes_of_once_through(phrase: Phrase) -> None:
    assume(phrase.first_number == 1)
    once = [span for span in arrange(phrase, Practice()).spans if span.kind == "bar"]
    looped = arrange(phrase, Practice(loop=True)).spans
    assert [span.bar for span in looped] == [span.bar for span in once]
    assume(looped[0].landing == once[0].landing)
    performance = played(phrase, Practice(loop=True))
    offset = once[0].start
    plain = played(phrase, Practice())
    rows = {
        (hit.place - offset, hit.key, hit.velocity)
        for hit in plain.hits
        if hit.kind == "stroke" and 0 <= hit.place - offset < sum(span.meter.grains for span in once)
    }
    assert {(hit.place, hit.key, hit.velocity) for hit in performance.hits if hit.kind == "stroke"} == rows


@law
@given(phrases(feel=False), st.integers(2, 4))
def test_so_many_times_is_so_many_times_the_loop(phrase: Phrase, times: int) -> None:
    once = played(phrase, Practice(loop=True))
    often = played(phrase, Practice(loop=True, times=times))
    if once.ppq == often.ppq:
        assert often.end_tick == times * once.end_tick
    once_rows = Counter((hit.place, hit.key) for hit in once.hits if hit.kind == "stroke")
    length = once.end_tick * GRAINS_PER_QUARTER // once.ppq
    fills = any(bar.role == "fill" and bar.landing for bar in phrase.bars.values())
    assume(not fills)
    rows = Counter((hit.place % length, hit.key) for hit in often.hits if hit.kind == "stroke")
    assert rows == Counter({key: count * times for key, count in once_rows.items()})


@law
@given(phrases(), st.data())
def test_bars_are_chosen_by_their_numbers(phrase: Phrase, data: st.DataObject) -> None:
    last = phrase.first_number + len(phrase.order) - 1
    first = data.draw(st.integers(1, last)) if last else 1
    assume(first <= last)
    end = data.draw(st.integers(first, last))
    plan = arrange(phrase, Practice(bars=((first, end),)))
    bars = [span for span in plan.spans if span.kind == "bar"]
    assert [span.number for span in bars] == list(range(first, end + 1))
    names = phrase.order[first - phrase.first_number : end - phrase.first_number + 1]
    assert tuple(span.bar.name for span in bars if span.bar) == names


@law
@given(phrases(), st.sampled_from(["fill", "groove"]))
def test_bars_are_chosen_by_their_role(phrase: Phrase, role: str) -> None:
    names = [name for name in phrase.order if phrase.bars[name].role == role]
    assume(names)
    bars = [span.bar for span in arrange(phrase, Practice(only=role)).spans if span.kind == "bar"]
    assert [bar.name for bar in bars if bar] == names


# -- files


@law
@given(valid_phrases())
def test_what_is_written_is_performed_as_what_was_there(file: PhraseFile) -> None:
    again = read_phrase(render_phrase_file(file), file="generated.toml", name="generated")
    assert again.file == file
    assert render_midi(played(again.phrase)) == render_midi(played(phrase_of(file)))


WORDS = st.sampled_from(
    ["phrase", "bars", "title", "tempo", "meter", "kit", "feet", "hands", "R", "L", "sticking", "accents", "parts",
     "beats", "like", "role", "=", '"', "'", "[", "]", "{", "}", ".", "\n", " ", "a", "1", "-", "RLRR", "4/4", "6/8",
     "snare", "all", "every 3", ">", "(", ")", "z", "l", "true", "nan", "inf", "1e999", "0x", "\t", "\\", "'''", '"""',
     "1979-05-27", "07:32:00", "[[", "]]", "#", "é", "日本", "\N{NO-BREAK SPACE}", "x3"]
)  # fmt: skip


def refusal(error: DrumgenError) -> None:
    """A refusal names at least one fault, in lines that can be printed."""
    assert error.faults
    assert all(line.isprintable() for line in str(error).split("\n"))
    assert all(str(fault) for fault in error.faults)


def check_refused_or_read(text: str) -> None:
    """Reading either works, and what was read can be performed, or it is refused."""
    try:
        found = read_phrase(text, file="wild.toml", name="wild").phrase
        perform(arrange(found))
    except DrumgenError as error:
        refusal(error)


@quick
@given(st.text(max_size=300))
@example("\x00")
@example("\ufeff\ufeff")
@example("a." * 200)
@example("x = " + "[" * 1000)
@example("x = " + "9" * 5000)
def test_no_text_makes_a_traceback(text: str) -> None:
    check_refused_or_read(text)


@quick
@given(st.lists(WORDS, max_size=60).map("".join))
def test_no_heap_of_words_makes_a_traceback(text: str) -> None:
    check_refused_or_read(text)


@quick
@given(st.binary(max_size=300))
@example(b"\xff\xfe")
@example(b"\xef\xbb\xbfphrase = []\r\n")
def test_no_bytes_make_a_traceback(content: bytes) -> None:
    try:
        text = decode(content, file="wild.toml")
    except DrumgenError as error:
        refusal(error)
    else:
        check_refused_or_read(text)


@quick
@given(valid_phrases(), st.data())
def test_no_slip_of_the_pen_makes_a_traceback(file: PhraseFile, data: st.DataObject) -> None:
    text = render_phrase_file(file)
    at = data.draw(st.integers(0, len(text)))
    end = data.draw(st.integers(at, min(len(text), at + 12)))
    check_refused_or_read(text[:at] + data.draw(WORDS | st.text(max_size=3)) + text[end:])


KEYS = st.sampled_from(
    ["sticking", "rudiment", "lead", "start", "across", "subdivision", "accents", "ghosts", "hands", "feet",
     "grace_voice", "role", "like", "note", "meter", "tempo", "handed", "landing", "dynamics", "feel", "parts", "beats"]
)  # fmt: skip
VALUES = st.recursive(
    st.integers()
    | st.booleans()
    | st.floats()
    | st.text(max_size=8)
    | st.sampled_from(["RLRR", "4/4", "snare", "1 2"]),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(KEYS | st.sampled_from(["R", "kick", "1"]), inner, max_size=3)
    ),
    max_leaves=6,
)


def toml(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {toml(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    if isinstance(value, str):
        escaped = "".join(char if char.isalnum() else f"\\U{ord(char):08X}" for char in value)
        return f'"{escaped}"'
    return repr(value)


@quick
@given(st.dictionaries(KEYS, VALUES, max_size=4))
def test_no_values_under_known_keys_make_a_traceback(bar: dict[str, object]) -> None:
    lines = "".join(f"{key} = {toml(value)}\n" for key, value in bar.items())
    check_refused_or_read(f'phrase = ["a"]\n[bars.a]\n{lines}')


@quick
@given(valid_phrases(), st.integers(1, 5), st.booleans())
def test_what_is_carried_on_in_low_numbers_is_laid_out_the_same(file: PhraseFile, times: int, carried: bool) -> None:  # noqa: FBT001 - drawn
    phrase = phrase_of(file)
    if carried:
        bars = {name: replace(bar, layer=replace(bar.layer, across="carry")) for name, bar in phrase.bars.items()}
        phrase = replace(phrase, bars=bars)
    plan = arrange(phrase, Practice(times=times))
    low = strokes(plan)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("drumgen.strokes.come_round", lambda found, **_: found)
        assert strokes(plan) == low
