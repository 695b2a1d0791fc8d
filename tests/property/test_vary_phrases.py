"""``vary`` of any phrase at all: an answer that can be played and keeps every other bar, or one clear refusal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hypothesis import HealthCheck, assume, event, given, settings
from hypothesis import strategies as st
from strategies import general_midi, phrase_of, valid_phrases

from drumgen.errors import DrumgenError
from drumgen.plan import arrange
from drumgen.practice import Practice
from drumgen.spec.loading import read_phrase
from drumgen.strokes import strokes
from drumgen.study.playings import MOST_CARRIED, playings_of
from drumgen.study.top_tempo import top_tempo
from drumgen.study.vary import vary
from drumgen.study.wish import Wish

if TYPE_CHECKING:
    from drumgen.layout import Stroke
    from drumgen.phrase import Phrase
    from drumgen.spec.phrase_file import PhraseFile
    from drumgen.study.wish import Variations

WISHES = st.builds(
    Wish,
    number=st.integers(1, 3),
    space=st.sampled_from(["rules", "strokes"]),
    skill=st.sampled_from(["learner", "player", "record"]),
    apart=st.sampled_from([None, 1]),
    voices=st.sampled_from([("snare", "floor-tom"), ("snare", "hihat", "high-tom", "crash")]),
    bars=st.sampled_from([(), (), ("groove",), ("fill",)]),
)


def bars_of(phrase: Phrase, *, by_rule: bool) -> dict[str, list[tuple[Stroke, ...]]]:
    """By bar, the strokes of its playings; what lies on a landing is left out."""
    played = strokes(arrange(phrase, Practice()))
    rows = {}
    for name in dict.fromkeys(phrase.order):
        shown = [played[span] for span in playings_of(name, played, by_rule=by_rule).shown]
        rows[name] = [tuple(s for s in each.laid.strokes if s.place or not each.span.landing) for each in shown]
    return rows


@settings(deadline=None, max_examples=120, suppress_health_check=[HealthCheck.too_slow])
@given(valid_phrases(), WISHES)
def test_an_answer_or_a_refusal(file: PhraseFile, wish: Wish) -> None:
    before = phrase_of(file)
    assume(len(before.order) <= MOST_CARRIED)
    try:
        found = vary(file, general_midi(), wish)
    except DrumgenError as error:
        event("refused")
        refusal = str(error)
    else:
        event(f"{len(found.found)} found")
        check(before, found, wish)
        return
    assert refusal
    assert "\n" not in refusal


def check(before: Phrase, found: Variations, wish: Wish) -> None:
    for variation in found.found:
        after = read_phrase(variation.text, file="other.toml", name="other").phrase
        assert top_tempo(arrange(after, Practice()), skill=wish.skill).playable
        one, other = (bars_of(phrase, by_rule=wish.space == "rules") for phrase in (before, after))
        for name in one:
            if name not in variation.voices:
                assert one[name] == other[name]
            else:
                voices = [
                    after.kit.voice(s.voice).name for playing in other[name] for s in playing if s.limb in ("R", "L")
                ]
                told = list(variation.voices[name])
                landed = any(each.span.landing for each in strokes(arrange(after, Practice())))
                assert sorted(voices) == sorted(told) or landed
