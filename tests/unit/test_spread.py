"""Spread: seeded, bounded, and nobody's business but the stroke's own."""

from statistics import fmean, pstdev

import pytest
from drum_room import CRASH, SNARE, one_bar, performed, phrase, ticks

from drumgen.performing import perform
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.spread import deviation_us, mixed, ticks_of_us


def deviations(spread_ms: int, *, seed: int = 0) -> list[int]:
    return [
        deviation_us(spread_ms, seed=seed, pass_number=turn, bar=bar, stroke=stroke)
        for turn in range(5)
        for bar in range(20)
        for stroke in range(40)
    ]


def test_the_spread_is_the_standard_deviation() -> None:
    found = deviations(10)
    assert pstdev(found) == pytest.approx(10_000, rel=0.05)
    assert abs(fmean(found)) < 500  # 4000 strokes: the mean's own deviation is 158


def test_never_more_than_three_of_it() -> None:
    found = deviations(10) + deviations(10, seed=7) + deviations(10, seed=8)
    assert max(map(abs, found)) <= 30_000
    assert max(map(abs, found)) > 25_000


def test_the_numbers_are_splitmix64() -> None:
    """Its first five from the seed 1234567, as Rosetta Code prints them (Pseudo-random numbers/Splitmix64; memory)."""
    step, mask = 0x9E3779B97F4A7C15, (1 << 64) - 1
    found = [mixed((1_234_567 + number * step) & mask) for number in range(1, 6)]
    assert found == [
        6_457_827_717_110_365_317,
        3_203_168_211_198_807_973,
        9_817_491_932_198_370_423,
        4_593_380_528_125_082_431,
        16_408_922_859_458_223_821,
    ]


def test_a_seed_spreads_as_it_always_did() -> None:
    """A change alarm: a file that was made with a seed is to be made again."""
    found = [deviation_us(10, seed=seed, pass_number=1, bar=2, stroke=3) for seed in (0, 1, 2, 2**32 - 1)]
    assert found == [7191, 3057, -8508, -24_447]


def test_no_spread_is_none() -> None:
    assert set(deviations(0)) == {0}


def test_each_of_its_four_numbers_counts() -> None:
    one = deviation_us(10, seed=1, pass_number=2, bar=3, stroke=4)
    assert one == deviation_us(10, seed=1, pass_number=2, bar=3, stroke=4)
    others = {
        deviation_us(10, seed=2, pass_number=2, bar=3, stroke=4),
        deviation_us(10, seed=1, pass_number=3, bar=3, stroke=4),
        deviation_us(10, seed=1, pass_number=2, bar=4, stroke=4),
        deviation_us(10, seed=1, pass_number=2, bar=3, stroke=5),
        deviation_us(10, seed=4, pass_number=3, bar=2, stroke=1),
    }
    assert len(others | {one}) == 6


@pytest.mark.parametrize(
    ("us", "found"), [(0, 0), (1000, 2), (-1000, -2), (260, 0), (261, 1), (-261, -1), (25_000, 48)]
)
def test_microseconds_in_ticks(us: int, found: int) -> None:
    assert ticks_of_us(us, ppq=960, us_per_quarter=500_000) == found  # a tick is 520.8 µs


GROOVE = """
tempo = {tempo}
feel.spread_ms = {spread}
feel.seed = {seed}
phrase = ["a x4"]
[bars.a]
sticking = "RlRLllRRLLRz"
subdivision = "sixteenths"
across = "carry"
hands.R = "hihat"
feet.kick = "1 3 4a"
"""


def groove(*, spread: int = 8, seed: int = 3, tempo: int = 100) -> str:
    return GROOVE.replace("RlRLllRRLLRz", "R rL R llR L L").format(spread=spread, seed=seed, tempo=tempo)


def test_strokes_are_moved_and_their_written_place_stays() -> None:
    still, moved = performed(groove(spread=0)), performed(groove())
    assert [hit.place for hit in moved.hits if hit.kind == "stroke"] != []
    assert ticks(moved.hits, kind="stroke") != ticks(still.hits, kind="stroke")
    by_place = {(hit.place, hit.key): hit.tick for hit in still.hits if hit.kind == "stroke"}
    for hit in moved.hits:
        if hit.kind == "stroke":
            off = hit.tick - by_place[hit.place, hit.key]
            assert abs(off * 600_000 / 960 - hit.moved_us) <= 600_000 / 960
            assert abs(hit.moved_us) <= 24_000


def test_the_same_seed_is_the_same_and_another_is_not() -> None:
    assert performed(groove()).hits == performed(groove()).hits
    assert performed(groove()).hits != performed(groove(seed=4)).hits


def test_passes_and_bars_differ() -> None:
    hits = performed(one_bar('sticking = "RL"', top="feel.spread_ms = 10\n"), Practice(times=2)).hits
    first, second = ([hit.tick % 3840 for hit in hits if hit.span == turn] for turn in (0, 1))
    assert first != second


@pytest.mark.parametrize("spread", [1, 8, 50])
@pytest.mark.parametrize("tempo", [40, 300])
@pytest.mark.parametrize("loop", [False, True])
def test_never_before_the_start_nor_over_the_end_nor_past_a_neighbour(*, spread: int, tempo: int, loop: bool) -> None:
    still = performed(groove(spread=0, tempo=tempo), Practice(loop=loop))
    moved = performed(groove(spread=spread, tempo=tempo), Practice(loop=loop))
    assert moved.end_tick == still.end_tick
    assert all(0 <= hit.tick < moved.end_tick for hit in moved.hits)
    for key in {hit.key for hit in still.hits}:
        places = [hit.place for hit in moved.hits if hit.key == key and hit.kind == "stroke"]
        assert places == sorted(places)
    for limb in "RLK":
        places = [hit.place for hit in moved.hits if hit.limb == limb and hit.kind == "stroke"]
        assert places == sorted(places)


@pytest.mark.parametrize(
    "practice",
    [
        Practice(mute=("snare",)),
        Practice(mute=("hihat",)),
        Practice(mute=("kick",)),
        Practice(limbs=("R",)),
        Practice(limbs=("K", "L")),
    ],
)
def test_silencing_moves_nothing_else(practice: Practice) -> None:
    whole, part = performed(groove()).hits, performed(groove(), practice).hits
    kept = [
        hit for hit in whole if hit.voice not in practice.mute and (not practice.limbs or hit.limb in practice.limbs)
    ]
    assert list(part) == kept
    assert 0 < len(part) < len(whole)


def test_grace_notes_follow_their_stroke() -> None:
    hits = performed(
        one_bar('sticking = "R lR"\nsubdivision = "quarters"\nhands.R = "crash"', top="feel.spread_ms = 9\n")
    ).hits
    graces = [hit for hit in hits if hit.kind == "grace"]
    mains = {hit.place: hit for hit in hits if hit.key == CRASH}
    assert graces
    for grace in graces:
        main = mains[grace.place]
        assert main.tick - grace.tick == 36  # 25 ms at 90
        assert grace.moved_us == main.moved_us - 36 * 666_667 // 960
        assert grace.key == SNARE


def test_the_click_is_never_moved() -> None:
    top = "tempo = 120\nfeel.spread_ms = 20\n"
    hits = performed(one_bar('sticking = "RL"', top=top), Practice(count_in=1)).hits
    assert ticks(hits, kind="click") == [0, 960, 1920, 2880]
    assert all(hit.moved_us == 0 for hit in hits if hit.kind == "click")


def test_a_first_flam_keeps_room_for_its_grace_note_whatever_the_seed() -> None:
    for seed in range(40):
        text = one_bar(
            'sticking = "- lR L"\nmeter = "3/8"', top=f"tempo = 120\nfeel = {{ spread_ms = 50, seed = {seed} }}\n"
        )
        hits = perform(arrange(phrase(text))).hits
        assert all(hit.tick >= 0 for hit in hits)
        assert len(ticks(hits, kind="grace")) == 2
