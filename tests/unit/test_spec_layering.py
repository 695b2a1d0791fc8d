"""From what a bar or a part says to what the limbs do: rudiments, lead and start, voices of the kit, parts."""

import pytest
from drum_room import bar, faults, laid, one_bar, phrase, remarks, rows

from drumgen.layout import lay_out
from drumgen.spec.layering import Overrides, rudiment_sticking


def letters(body: str, *, overrides: Overrides | None = None) -> str:
    found = phrase(one_bar(body), overrides=overrides)
    return "".join(text for _, text in lay_out(found.bars["a"], found.kit).letters)


QUARTERS = 'subdivision = "quarters"\n'


def test_sixteenths_unless_said() -> None:
    assert bar('sticking = "RL"').bars["a"].layer.subdivision == ("sixteenths",) * 4


def test_lead_and_start() -> None:
    assert letters(QUARTERS + 'sticking = "RLRR"\nlead = "L"') == "LRLL"
    assert letters(QUARTERS + 'sticking = "RLRR"\nlead = "R"') == "RLRR"
    assert letters(QUARTERS + 'sticking = "RLRR"\nstart = 3') == "RRRL"
    assert letters(QUARTERS + 'sticking = "RLRR"\nlead = "L"\nstart = 2') == "RLLL"


def test_the_command_lines_lead_is_every_bars() -> None:
    body = QUARTERS + 'sticking = "RLRR"\nlead = "R"'
    assert letters(body, overrides=Overrides(lead="L")) == "LRLL"


def test_the_command_lines_hand_is_every_bars() -> None:
    body = QUARTERS + 'sticking = "RLRR"'
    assert letters(body, overrides=Overrides(handed="left")) == "LRLL"
    assert letters(body + '\nhanded = "left"', overrides=Overrides(handed="right")) == "RLRR"


def test_a_start_beyond_the_last_stroke() -> None:
    assert faults(one_bar('sticking = "RLR"\nstart = 4')) == [
        "shed.toml:4: bars.a.start: expected a stroke from 1 to 3, got 4"
    ]


# -- rudiments


def test_a_rudiment_is_one_whole_cycle_with_its_own_rhythm_and_accents() -> None:
    # single paradiddle: both leads, eight sixteenths, accents on each first; come round in two beats
    sticking = rudiment_sticking("single paradiddle")
    assert str(sticking) == ">RLRR >LRLL"
    assert sticking.rhythm == (2520,) * 8


def test_a_rudiment_that_does_not_alternate_is_one_side() -> None:
    assert str(rudiment_sticking("six stroke roll")) == ">RLLRR>L"
    assert rudiment_sticking("six stroke roll").rhythm == (2520, 1260, 1260, 1260, 1260, 2520)


def test_a_rudiment_that_rests_has_its_rest() -> None:
    sticking = rudiment_sticking("ten stroke roll")
    assert str(sticking).replace(" ", "") == "RRLLRRLL>R>L-"
    assert sum(sticking.rhythm) == 2 * 10_080


def test_its_rhythm_in_a_bar() -> None:
    found = laid('rudiment = "five stroke roll"\nmeter = "2/4"')
    assert [slot.start for slot in found.slots] == [0, 1260, 2520, 3780, 5040, 10_080, 11_340, 12_600, 13_860, 15_120]
    assert [stroke.level for stroke in found.strokes].count("accent") == 2


def test_a_subdivision_beside_it_makes_it_even() -> None:
    found = laid('rudiment = "five stroke roll"\nsubdivision = "quintuplets"\nmeter = "2/4"')
    assert [slot.grains for slot in found.slots] == [2016] * 10
    assert "".join(text for _, text in found.letters) == "RRLLRLLRRL"


def test_an_accents_line_replaces_a_rudiments_accents() -> None:
    body = 'rudiment = "single paradiddle"\nmeter = "2/4"\n'
    assert [word for word in rows(body) if word[0] == ">"] == [">1R snare", ">2L snare"]
    assert [word for word in rows(body + 'accents = "1&"') if word[0] == ">"] == [">1&R snare"]
    assert [word for word in rows(body + 'accents = ""') if word[0] == ">"] == []


def test_a_rudiment_with_start_and_lead() -> None:
    assert letters('rudiment = "single paradiddle"\nmeter = "2/4"\nlead = "L"') == "LRLLRLRR"
    assert letters('rudiment = "single paradiddle"\nmeter = "2/4"\nstart = 2') == "LRRLRLLR"


def test_no_such_rudiment() -> None:
    (fault,) = faults(one_bar('rudiment = "paradiddel"'))
    assert fault.startswith("shed.toml:3: bars.a.rudiment: expected the name of one of the forty rudiments, got ")
    assert 'nearest: "paradiddle"' in fault


def test_a_rudiment_longer_than_its_bar() -> None:
    (fault,) = faults(one_bar('rudiment = "nine stroke roll"\nmeter = "3/4"'))
    assert fault == (
        "shed.toml:3: bars.a.rudiment: expected a rhythm of at most 3 quarters, a subdivision beside it, "
        'or across = "carry", got 4 quarters'
    )


# -- voices


FEET = 'expected a voice that a foot plays in the kit "general-midi" (kick, hihat-foot)'


@pytest.mark.parametrize(
    ("body", "message"),
    [
        (
            'hands.R = "snair"',
            'bars.a.hands.R: expected a voice of the kit "general-midi", got "snair" (nearest: "snare")',
        ),
        (
            'hands.R = { main = "snare", "2" = "snair" }',
            'bars.a.hands.R.2: expected a voice of the kit "general-midi", got "snair" (nearest: "snare")',
        ),
        (
            'hands.L = { around = ["high-tom", "gongs"] }',
            'bars.a.hands.L.around[2]: expected a voice of the kit "general-midi", got "gongs"',
        ),
        ('hands.R = "kick"', 'bars.a.hands.R: expected a voice that hands play in the kit "general-midi", got "kick"'),
        (
            'feet.snare = "1"',
            f'bars.a.feet.snare: {FEET}, got "snare"',
        ),
        ('feet.kik = "1"', 'bars.a.feet.kik: expected a voice of the kit "general-midi", got "kik" (nearest: "kick")'),
    ],
)
def test_voices_are_found_in_the_kit(body: str, message: str) -> None:
    assert faults(one_bar(body)) == [f"shed.toml:3: {message}"]


def test_a_voice_that_is_played_on_another_is_remarked() -> None:
    assert remarks(one_bar('sticking = "RL"\nhands.R = "pad"')) == [
        'shed.toml:4: bars.a.hands.R: "pad" is played on "snare", as the kit "general-midi" has none'
    ]


def test_a_kit_without_feet() -> None:
    body = 'feet.kick = "1"\nsticking = "RKH"\nsubdivision = "quarters"'
    top = 'kit = "practice-pad"\n'
    assert rows(body, top=top) == ["1R pad", "1K kick", "2K kick", "3H hihat-foot", "4R pad"]


# -- parts


def part(body: str, more: str = 'sticking = "RL"\n') -> list[str]:
    return faults(one_bar(f"{more}[[bars.a.parts]]\n{body}"))


@pytest.mark.parametrize("beats", ["5", "5-5", "3-5", " 3 - 5"])
def test_beats_that_the_meter_does_not_have(beats: str) -> None:
    (fault,) = part(f'beats = "{beats}"')
    assert fault == f'shed.toml:5: bars.a.parts[1].beats: expected beats from 1 to 4 of 4/4, got "{beats}"'


def test_overlapping_parts() -> None:
    (fault,) = part('beats = "1-3"\n[[bars.a.parts]]\nbeats = "4"\n[[bars.a.parts]]\nbeats = "3-4"\n')
    assert fault == (
        "shed.toml:9: bars.a.parts[3].beats: expected parts that do not overlap, got beat 3 in part 1 and in this"
    )


def test_a_part_is_not_carried() -> None:
    assert part('beats = "2"\nacross = "carry"') == [
        'shed.toml:6: bars.a.parts[1].across: expected restart or once in a part, got "carry"'
    ]


def test_a_part_of_a_carried_bar_begins_with_its_first_stroke() -> None:
    body = QUARTERS + 'sticking = "RRL"\nacross = "carry"\n[[bars.a.parts]]\nbeats = "3-4"\nsticking = "LLLL"\n'
    assert faults(one_bar(body)) == ["shed.toml:8: bars.a.parts[1].sticking: expected at most 2 places, got 4"]
    assert letters(body.replace("LLLL", "L")) == "RRLL"


def test_a_part_that_rests_after_its_sticking() -> None:
    body = QUARTERS + 'sticking = "R"\n[[bars.a.parts]]\nbeats = "2-4"\nsticking = "LL"\nacross = "once"\n'
    assert rows(body) == ["1R snare", "2L snare", "3L snare"]


def test_a_part_has_one_subdivision_or_one_for_each_of_its_own_beats() -> None:
    body = 'sticking = "R"\nsubdivision = "quarters"\n[[bars.a.parts]]\nbeats = "2-3"\nsticking = "L"\n'
    both = rows(body + 'subdivision = ["eighths", "triplets"]\n')
    assert both == ["1R snare", "2L snare", "2&L snare", "3L snare", "3tL snare", "3lL snare", "4R snare"]
    assert len(rows(body + 'subdivision = "eighths"\n')) == 6
    (fault,) = faults(one_bar(body + 'subdivision = ["eighths", "eighths", "eighths"]\n'))
    assert fault.startswith(
        "shed.toml:8: bars.a.parts[1].subdivision: expected one subdivision, or one for each of the"
    )


def test_a_parts_subdivision_need_not_fit_the_beats_it_does_not_lie_over() -> None:
    body = 'meter = "7/8 2+2+3"\nsubdivision = "eighths"\nsticking = "L"\n[[bars.a.parts]]\nbeats = "1-2"\n'
    quarters = rows(body + 'sticking = "R"\nsubdivision = "quarters"\n')
    assert quarters == ["1R snare", "3R snare", "5L snare", "6L snare", "7L snare"]


def test_a_part_with_a_sticking_leaves_the_bars_rudiment_and_its_start_behind() -> None:
    body = (
        'rudiment = "single paradiddle"\nmeter = "2/4"\nstart = 3\n'
        '[[bars.a.parts]]\nbeats = "2"\nsticking = "LR"\nsubdivision = "eighths"\n'
    )
    assert letters(body) == "RRLR" + "LR"


def test_a_part_with_a_rudiment() -> None:
    body = 'sticking = "R"\nsubdivision = "quarters"\n[[bars.a.parts]]\nbeats = "3-4"\nrudiment = "flam"\n'
    assert letters(body) == "RRlRrL"


def test_faults_of_a_parts_voices_and_sound() -> None:
    assert part('beats = "2"\nhands.R = "snair"\nrudiment = "fla"\nfeet.gong = "1"\n')[0].startswith(
        "shed.toml:6: bars.a.parts[1].hands.R: expected a voice of the kit"
    )
    assert part('beats = "2"\nsticking = "R"\nrudiment = "flam"\n') == [
        "shed.toml:7: bars.a.parts[1].rudiment: expected a sticking or a rudiment, got both"
    ]


def test_of_a_bar_with_a_part_that_cannot_be_made_no_other_part_is_blamed() -> None:
    """The places in the other parts are looked at once the part is mended, under their own numbers."""
    parts = '[[bars.a.parts]]\nbeats = "5"\n[[bars.a.parts]]\nbeats = "2"\nfeet.kick = "9"\n'
    text = one_bar(f'sticking = "RL"\n{parts}[[bars.a.parts]]\nbeats = "3"\nrudiment = "flamm"\n')
    told = ["shed.toml:5: bars.a.parts[1].beats", "shed.toml:11: bars.a.parts[3].rudiment"]
    assert [fault.partition(": expected")[0] for fault in faults(text)] == told
    mended = text.replace('"5"', '"1"').replace('rudiment = "flamm"', 'sticking = "R"')
    assert [fault.partition(": expected")[0] for fault in faults(mended)] == ["shed.toml:8: bars.a.parts[2].feet.kick"]
