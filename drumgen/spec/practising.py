"""Practice options as they are written, in a phrase file or on the command line, to the options they mean."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from drumgen.clicks import parse_click, parse_click_voices
from drumgen.errors import DrumgenError, Fault
from drumgen.practice import Practice, parse_bar_ranges, parse_gap, parse_ladder, parse_limbs, parse_rest

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from drumgen.spec.phrase_file import PracticeTable

_READ: dict[str, Callable[[str], object]] = {
    "bars": parse_bar_ranges,
    "limbs": parse_limbs,
    "click": parse_click,
    "gap": parse_gap,
    "rest": parse_rest,
}
_FIELDS = ("tempo", "times", "only", "mute", "count_in", "loop", "only_click", "answer")


def make_practice(table: PracticeTable | None) -> Practice:
    """The practice options of a phrase file. Raises DrumgenError with all their faults."""
    if table is None:
        return Practice()
    return with_options(Practice(), table.said())


def with_options(practice: Practice, said: Mapping[str, Any]) -> Practice:
    """Options as written (``count_in``, ``ladder``…) laid over others. Raises DrumgenError with all their faults.

    A ladder takes the place of an inherited tempo, and a tempo that of an inherited ladder.
    """
    faults: list[Fault] = []
    values: dict[str, Any] = {key: said[key] for key in _FIELDS if key in said}
    for key, read in _READ.items():
        if key in said:
            values[key] = _read(read, said[key], key, faults)
    if "ladder" in said:
        values["rungs"] = _read(parse_ladder, said["ladder"], "ladder", faults)
        values.setdefault("tempo", None)
    elif "tempo" in said:
        values.update(rungs=(), rungs_apart=False)
    if "rungs" in said:
        values["rungs_apart"] = said["rungs"] == "apart"
    sound = {key.removeprefix("click_"): said[key] for key in ("click_level", "click_side") if key in said}
    if "click_voices" in said:
        voices = _read(parse_click_voices, said["click_voices"], "click-voices", faults)
        sound |= dict(zip(("plain", "marked"), voices or (), strict=False))
    if faults:
        raise DrumgenError(*faults)
    return replace(practice, **values, click_sound=replace(practice.click_sound, **sound))


def _read(read: Callable[[str], Any], text: str, key: str, faults: list[Fault]) -> Any:  # noqa: ANN401 - what it reads
    try:
        return read(text)
    except DrumgenError as error:
        faults += [fault.under(key) for fault in error.faults]
        return None
