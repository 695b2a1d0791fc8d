"""Kits: finding a voice, what a hand and a foot play unless said."""

from drum_room import said

from drumgen.kit import Kit, PlayedBy, Voice


def kit(*voices: tuple[str, PlayedBy], **instead: str) -> Kit:
    return Kit("shed", {name: Voice(name, 30 + i, limb) for i, (name, limb) in enumerate(voices)}, instead)


SHED = kit(("kick", "kick foot"), ("snare", "hands"), ("hihat", "hands"), ("hihat-foot", "hi-hat foot"), pad="snare")


def test_a_voice_by_its_name_or_the_one_played_instead() -> None:
    assert SHED.voice("hihat").key == 32
    assert SHED.voice("pad").name == "snare"


def test_a_voice_that_is_not_there() -> None:
    assert said(lambda: SHED.voice("snair")) == ('expected a voice of the kit "shed", got "snair" (nearest: "snare")')
    assert said(lambda: SHED.voice("gong")) == 'expected a voice of the kit "shed", got "gong"'
    assert said(lambda: kit(("snare", "hands"), pad="gong").voice("pad")) == (
        'expected a voice of the kit "shed", got "pad"'
    )


def test_a_hand_is_at_home_on_the_snare_or_the_pad_or_the_first_it_plays() -> None:
    assert SHED.home == "snare"
    assert kit(("ride", "hands"), ("pad", "hands")).home == "pad"
    assert kit(("kick", "kick foot"), ("ride", "hands"), ("bell", "hands")).home == "ride"


def test_the_feet_of_a_sticking() -> None:
    assert SHED.foot_voice("K") == "kick"
    assert SHED.foot_voice("H") == "hihat-foot"
    other = Kit("shed", {"pedal": Voice("pedal", 35, "kick foot"), "snare": Voice("snare", 38)})
    assert other.foot_voice("K") == "pedal"
    named = Kit("shed", {"boom": Voice("boom", 35, "kick foot"), "snare": Voice("snare", 38)}, {"kick": "boom"})
    assert named.foot_voice("K") == "kick"


def test_a_foot_that_has_nothing_to_play() -> None:
    assert said(lambda: kit(("pad", "hands")).foot_voice("K")) == (
        'expected hands alone, as the kit "shed" has no voice for the kick foot, got K'
    )
    assert said(lambda: kit(("pad", "hands")).foot_voice("H")) == (
        'expected hands alone, as the kit "shed" has no voice for the hi-hat foot, got H'
    )


def test_a_kit_can_be_a_key() -> None:
    assert {SHED: 1}[SHED] == 1
