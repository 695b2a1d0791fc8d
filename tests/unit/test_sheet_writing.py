"""How a phrase is written down: values, rests, tuplets, beams, lines, repeats, names."""

import pytest
from drum_room import QUARTER, bar, phrase, said

from drumgen.meter import parse_meter
from drumgen.sheet.beams import beams_of
from drumgen.sheet.cells import cells_of, writing_beats
from drumgen.sheet.directions import Changing, Loud, Named, Sped, Swung, Told, Wedge, directions
from drumgen.sheet.heads import heads_of, legend
from drumgen.sheet.score import Measure
from drumgen.sheet.values import VALUE_NAMES, spell
from drumgen.sheet.writing import write_score
from drumgen.spec.loading import read_kit, shipped_kit

SHORT = {"whole": "1", "half": "2", "quarter": "4", "eighth": "8", "16th": "16", "32nd": "32"}


def written(meter: str, *places: float, start: float = 0) -> str:
    """A line in short: ``8.`` a dotted eighth, ``r4`` a quarter rest, ``8/3`` an eighth of a triplet."""
    parsed = parse_meter(meter)
    onsets = [round(place * QUARTER) for place in places]
    words = []
    for each in spell(parsed, onsets, start=round(start * QUARTER)):
        tuplet = "" if each.cell.plain else f"/{each.cell.actual}"
        words.append(f"{'r' * each.rest}{SHORT[VALUE_NAMES[each.value]]}{'.' * each.dots}{tuplet}")
    return " ".join(words)


# Values and rests: common practice.


@pytest.mark.parametrize(
    ("meter", "places", "line"),
    [
        ("4/4", (0, 1, 2, 3), "4 4 4 4"),
        ("4/4", (0,), "4 r4 r2"),
        ("4/4", (1,), "r4 4 r2"),  # no half rest across the middle
        ("4/4", (3,), "r2 r4 4"),
        ("3/4", (0,), "4 r4 r4"),
        ("4/4", (0, 0.75), "8. 16 r4 r2"),
        ("4/4", (0.25,), "r16 8. r4 r2"),
        ("4/4", (0.75,), "r8. 16 r4 r2"),
        ("4/4", (0.25, 0.75), "r16 8 16 r4 r2"),
        ("6/8", (0,), "4. r4."),
        ("6/8", (0, 1, 2.5), "4 8 r4 8"),  # two eighths of rest at the start of a beat are one
        ("6/8", (0.5, 1.5), "r8 4 4."),
        ("6/8", (0, 0.75), "8. 8. r4."),
        ("12/8", (0,), "4. r4. r2."),
        ("7/8 2+2+3", (0, 2, 2.5), "4 r4 8 4"),
        ("2/2", (0, 2), "2 2"),
    ],
)
def test_values_and_rests(meter: str, places: tuple[float, ...], line: str) -> None:
    assert written(meter, *places) == line


@pytest.mark.parametrize(
    ("places", "line"),
    [
        ((0, 1 / 3, 2 / 3), "8/3 8/3 8/3"),
        ((0, 2 / 3), "4/3 8/3"),
        ((1 / 3,), "r8/3 4/3"),
        ((2 / 3,), "r4/3 8/3"),
        ((0, 1 / 5, 2 / 5, 3 / 5, 4 / 5), "16/5 16/5 16/5 16/5 16/5"),
        (tuple(n / 7 for n in range(7)), "16/7 " * 6 + "16/7"),
        (tuple(n / 6 for n in range(6)), "16/6 " * 5 + "16/6"),
        ((0, 1 / 6, 1 / 3, 1 / 2), "16/3 16/3 16/3 8"),  # a triplet in the first half, then an eighth
        ((0, 1 / 3, 1 / 2, 2 / 3), "8/3 16/3 16/3 8/3"),  # a triplet whose middle is doubled
        ((0, 1 / 6, 5 / 6), "16/6 8/6 r8/6 16/6"),
        ((0, 1 / 4, 1 / 3), "16 32/3 16/3 r8"),  # quarters and thirds of a beat: exact, if not pretty
    ],
)
def test_tuplets(places: tuple[float, ...], line: str) -> None:
    assert written("4/4", *places) == f"{line} r4 r2"


def test_tuplets_of_longer_beats() -> None:
    assert written("2/2", *(n * 2 / 3 for n in range(3)), 2) == "4/3 4/3 4/3 2"
    assert written("2/2", *(n / 3 for n in range(6)), 2) == "8/3 8/3 8/3 8/3 8/3 8/3 2"
    assert [(cell.actual, cell.normal) for cell in cells_of(parse_meter("8/8 5+3"), [0, 8400, 16800])] == [
        (3, 5),
        (1, 1),
    ]


def test_a_pickup_begins_where_it_is_cut() -> None:
    assert written("4/4", 3.25, 3.75, start=3.25) == "8 16"


def test_beats_of_an_eighth_are_written_in_pairs() -> None:
    assert [beat.grains // 5040 for beat in writing_beats(parse_meter("7/8"))] == [2, 2, 3]
    assert [beat.grains // 5040 for beat in writing_beats(parse_meter("5/8"))] == [2, 3]
    assert [beat.grains // 5040 for beat in writing_beats(parse_meter("3/8"))] == [3]


# Beams: common practice.


def beams(meter: str, *places: float) -> list[int]:
    """How many notes each group holds."""
    spelled = spell(parse_meter(meter), [round(place * QUARTER) for place in places])
    groups: list[int] = []
    for words in beams_of(spelled, parse_meter(meter)):
        if words and words[0] == "begin":
            groups.append(0)
        if words:
            groups[-1] += 1
    return groups


def test_beams_follow_the_beats_and_groups() -> None:
    eighths = tuple(n / 2 for n in range(8))
    assert beams("4/4", *eighths) == [2, 2, 2, 2]
    assert beams("6/8", *eighths[:6]) == [3, 3]
    assert beams("7/8 2+2+3", *eighths[:7]) == [2, 2, 3]
    assert beams("7/8 3+2+2", *eighths[:7]) == [3, 2, 2]
    assert beams("2/2", *eighths) == [4, 4]
    assert beams("2/2", *(n / 4 for n in range(16))) == [4, 4, 4, 4]


def test_thirty_seconds_keep_one_beam_between_eighths() -> None:
    spelled = spell(parse_meter("1/4"), range(0, QUARTER, 1260))
    words = beams_of(spelled, parse_meter("1/4"))
    assert words[3] == ("continue", "end", "end")
    assert words[4] == ("continue", "begin", "begin")


def test_hooks_point_into_their_own_eighth() -> None:
    dotted = beams_of(spell(parse_meter("1/4"), [0, 7560]), parse_meter("1/4"))
    assert dotted == [("begin",), ("end", "backward hook")]
    scotch = beams_of(spell(parse_meter("1/4"), [0, 2520]), parse_meter("1/4"))
    assert scotch == [("begin", "forward hook"), ("end",)]


# Lines.


def lines(body: str) -> list[tuple[int, str, int]]:
    """Each line's number, its stems, and how many notes it has."""
    measure = write_score(bar(body)).measures[0]
    return [(line.number, line.stem, sum(bool(event.struck) for event in line.events)) for line in measure.lines]


def test_hands_and_feet() -> None:
    assert lines('sticking = "RLRL"\nsubdivision = "quarters"\nfeet.kick = "1 3"') == [(1, "up", 4), (2, "down", 2)]
    assert lines('sticking = "RLRL"\nsubdivision = "quarters"') == [(1, "up", 4)]
    assert lines('feet.kick = "1 3"') == [(2, "down", 2)]
    assert lines('sticking = "-"') == [(1, "up", 0)]


def test_a_silent_bar_has_a_whole_bars_rest_or_one_a_group() -> None:
    for meter, values in (("4/4", ["whole"]), ("7/8 2+2+3", ["quarter", "quarter", "quarter"])):
        events = write_score(bar('sticking = "-"', top=f'meter = "{meter}"\n')).measures[0].lines[0].events
        assert [event.value for event in events] == values
        assert [event.whole_bar for event in events] == [meter == "4/4"] * len(values)


def test_linear_figures() -> None:
    assert lines('sticking = "RLK-"') == [(1, "up", 12)]
    assert lines('sticking = "-R-R"\nsubdivision = "quarters"\nfeet.kick = "1 3"') == [(1, "up", 4)]
    thirds = 'sticking = "R-R-"\nsubdivision = "sixteenths"\nfeet.kick = "4l"'
    assert len(lines(thirds)) == 2  # a triplet's third among sixteenths would be hard to read in one line


# Repeats and names.


def measures(text: str) -> tuple[Measure, ...]:
    return write_score(phrase(text)).measures


TWO = '[bars.a]\nsticking = "RLRR"\n[bars.b]\nsticking = "RRLL"\n'


@pytest.mark.parametrize(
    ("order", "folded"),
    [
        ('"a"', [((1,), False, 1)]),
        ('"a x3"', [((1, 2, 3), True, 3)]),
        ('"a x3", "b"', [((1, 2, 3), True, 3), ((4,), False, 1)]),
        ('"a", "b", "a", "b"', [((1, 3), True, 1), ((2, 4), False, 2)]),
        ('"b", "a", "a", "b"', [((1,), False, 1), ((2, 3), True, 2), ((4,), False, 1)]),
    ],
)
def test_bars_that_are_alike_are_folded(order: str, folded: list[tuple[tuple[int, ...], bool, int]]) -> None:
    found = [(each.bars, each.opens, each.times) for each in measures(f"phrase = [{order}]\n{TWO}")]
    assert found == folded


def test_a_landing_and_a_carried_sticking_make_bars_unlike() -> None:
    text = 'phrase = ["f", "a x3"]\nlanding = ["crash", "kick"]\n[bars.f]\nrole = "fill"\nsticking = "RLRL"\n' + TWO
    assert [each.bars for each in measures(text)] == [(1,), (2,), (3, 4)]
    carried = 'phrase = ["a x3"]\n[bars.a]\nsticking = "RLLRRL"\nacross = "carry"\n'
    assert [each.bars for each in measures(carried)] == [(1,), (2,), (3,)]


def test_a_landing_after_the_last_bar_is_a_whole_bar() -> None:
    text = 'phrase = ["f"]\nlanding = ["crash", "kick"]\n[bars.f]\nrole = "fill"\nsticking = "RLRL"\n'
    last = measures(text)[-1]
    assert (last.role, last.grains) == ("landing", 4 * QUARTER)
    assert [[event.value for event in line.events] for line in last.lines] == [["quarter", "quarter", "half"]] * 2
    assert last.lines[0].events[0].letters == "R"


def test_too_many_different_bars_are_refused() -> None:
    text = 'meter = "1/32"\nphrase = ["a x3000"]\n[bars.a]\nsticking = "%s"\nacross = "carry"\n'
    text += 'subdivision = "thirty-seconds"\n'
    signs = "".join("RL"[n * n * 2_654_435_761 >> 9 & 1] for n in range(1499)) + "R" * 2
    message = said(lambda: write_score(phrase(text % signs)))
    assert message.startswith("phrase: expected at most 1000 different bars on paper, got ")


# Directions.


def told(text: str) -> list[list[object]]:
    return [[at.direction for at in each] for each in directions(measures(text))]


def kinds(text: str, *wanted: type) -> list[list[object]]:
    return [[each for each in row if isinstance(each, wanted)] for row in told(text)]


def test_names_and_times() -> None:
    text = f'phrase = ["a x3", "b"]\n{TWO}'
    assert kinds(text, Named) == [[Named("a", "", 3)], [Named("b", "", 1)]]
    assert kinds('phrase = ["a"]\n[bars.a]\nsticking = "R"\n', Named) == [[]]


def test_dynamics_are_printed_where_they_change() -> None:
    text = 'phrase = ["a", "b", "c"]\n[bars.a]\nsticking = "RLRL"\n[bars.c]\nlike = "a"\n'
    text += '[bars.b]\nlike = "a"\ndynamics = "mp to f"\n'
    assert kinds(text, Loud, Wedge) == [
        [],
        [Loud("mp"), Wedge("crescendo"), Wedge("stop"), Loud("f")],
        [Loud("mf")],
    ]


def test_a_repeat_says_again_what_it_comes_back_to() -> None:
    text = 'phrase = ["a", "b", "a", "b"]\n[bars.a]\nsticking = "RLRL"\n[bars.b]\nlike = "a"\ndynamics = "f"\n'
    assert kinds(text, Loud) == [[Loud("mf")], [Loud("f")]]


def test_tempos() -> None:
    text = (
        'tempo = 92\nphrase = ["a", "b", "c"]\n[bars.a]\nsticking = "RLRL"\n[bars.b]\nlike = "a"\n'
        'tempo = "152 to 120"\n[bars.c]\nlike = "a"\n'
    )
    found = kinds(text, Sped, Changing)
    assert [[type(each) for each in row] for row in found] == [[Sped], [Sped, Changing], [Sped]]
    assert [int(row[0].sounds) for row in found] == [92, 152, 92]  # type: ignore[attr-defined]


def test_swing_and_lines_to_the_player() -> None:
    text = (
        'phrase = ["a", "b"]\n[bars.a]\nsticking = "RL"\nnote = "Low."\n'
        'feel.swing = { of = "eighths", ratio = "3:2" }\n[bars.b]\nsticking = "RL"\n'
    )
    first, second = kinds(text, Swung, Told)
    assert [type(each) for each in first] == [Swung, Told]
    assert [each.swing.ratio for each in second] == ["1:1"]  # type: ignore[attr-defined]


# Heads and the legend.

SHED = """
title = "Shed"
[voices.kick]
note = 36
played_by = "kick foot"
[voices.snare]
note = 38
[voices.oil-drum]
note = 41
[voices.saw]
note = 55
kind = "metal"
[voices.bucket]
note = 43
staff = "D5"
notehead = "diamond"
[voices.click]
note = 77
[voices.click-accent]
note = 76
"""


def test_a_voice_that_no_table_knows_has_a_place_of_its_own_and_a_marked_head() -> None:
    heads = heads_of(read_kit(SHED, name="shed", file="shed.toml"))
    assert {name: (head.notehead, head.usual) for name, head in heads.items()} == {
        "kick": ("normal", True),
        "snare": ("normal", True),
        "oil-drum": ("triangle", False),
        "saw": ("diamond", False),
        "bucket": ("diamond", False),
        "click": ("triangle", False),
        "click-accent": ("triangle", False),
    }
    assert len({head.look for head in heads.values()}) == 7
    assert legend(heads.values())[0].voice == "kick"


@pytest.mark.parametrize("kit", ["four-piece", "five-piece", "left-handed", "practice-pad"])
def test_usual_kits_need_no_legend_for_the_trades_own_voices(kit: str) -> None:
    heads = heads_of(shipped_kit(kit))
    assert legend(head for head in heads.values() if head.usual) == ()


def test_a_hand_on_the_clicks_own_voice_is_printed_too() -> None:
    score = write_score(bar('sticking = "RL"\nsubdivision = "quarters"\nhands.L = "click"'))
    assert [head.voice for head in score.heads] == ["snare", "click"]
