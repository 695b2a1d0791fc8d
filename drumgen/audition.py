"""The audition page: music from the sheet's room, sound from the audio room, put together as one HTML text."""

from __future__ import annotations

from base64 import b64encode
from hashlib import sha256
from typing import TYPE_CHECKING, Any, NamedTuple

from drumgen.errors import fail
from drumgen.note_values import UNIT_NAMES
from drumgen.page.bars import phrase_table, velocities
from drumgen.page.document import Music, Told, page_text, script_json
from drumgen.page.practising import practice_table
from drumgen.performing import outline
from drumgen.phrase import Phrase
from drumgen.plan import arrange
from drumgen.practice import Practice

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from drumgen.audio.clips import Clip
    from drumgen.audio.shots import Sound
    from drumgen.sheet.strips import Strips

LONGEST_HOURS = 4
MOST_PHRASES = 500
_APART = "a page has the whole ladder in it: --rungs apart is for MIDI and audio files"


class AuditionPage(NamedTuple):
    """The text of an HTML file, and lines for the player."""

    text: str
    remarks: tuple[str, ...]


class _Sounding(NamedTuple):
    """What the page's script plays with, and remarks."""

    table: dict[str, Any]
    remarks: tuple[str, ...]


def render_page(  # noqa: PLR0913 - each names one thing about the page
    phrases: Phrase | Sequence[Phrase],
    *,
    sound: Sound | None = None,
    practice: Sequence[Practice] | None = None,
    title: str = "",
    note: str = "",
    sticking: bool = True,
    counts: bool = False,
) -> AuditionPage:
    """The audition page of one phrase or several, and remarks on what could not sound.

    ``sound`` is what plays (``drumgen.audio.shots.choose_sound``; else the usual font's own kit); ``practice`` has the
    options each phrase begins with (else its own); ``title`` is the page's (else that of its phrases), ``note`` to the
    player, in lines: a page with a note begins with it and with the list of its phrases. ``sticking`` and ``counts``
    are shown at first or not. The text is the same bytes every time. Raises DrumgenError as ``check_page``, for
    phrases with more different bars than paper holds, or without what the options ask for, and for a damaged font.
    """
    several = (phrases,) if isinstance(phrases, Phrase) else tuple(phrases)
    options = tuple(phrase.practice for phrase in several) if practice is None else tuple(practice)
    if not several or len(options) != len(several):
        raise TypeError("a page needs at least one phrase, and practice options for each or for none")
    check_page(several)
    tables = [phrase_table(phrase, each.click_sound) for phrase, each in zip(several, options, strict=True)]
    strips = _strips(several)
    sounding = _sound_table(several, tables, sound or _usual_sound(several[0]))
    for table, phrase in zip(tables, several, strict=True):
        table["remembered"] = sha256(script_json([phrase.name, phrase.title, table["unit"]]).encode()).hexdigest()[:16]
    table = {
        "phrases": tables,
        "practice": [practice_table(phrase, each) for phrase, each in zip(several, options, strict=True)],
        "sound": sounding.table,
        "show": {"sticking": sticking, "counts": counts},
    }
    remarks = (_APART,) if any(each.rungs_apart for each in options) else ()
    return AuditionPage(_put_together(several, strips, table, title=title, note=note), (*remarks, *sounding.remarks))


def check_page(phrases: Sequence[Phrase]) -> None:
    """Raises DrumgenError where phrases are too many for one page, or last too long: before its costly work begins."""
    if len(phrases) > MOST_PHRASES:
        raise fail(f"at most {MOST_PHRASES} phrases on a page", got=str(len(phrases)))
    hours = sum(outline(arrange(phrase, Practice())).seconds for phrase in phrases) / 3600
    if hours <= LONGEST_HOURS:
        return
    if len(phrases) == 1:
        raise fail(f"a phrase of at most {LONGEST_HOURS} hours on a page", got=f"{hours:.1f} hours", path=("phrase",))
    raise fail(f"phrases of at most {LONGEST_HOURS} hours together on a page", got=f"{hours:.1f} hours")


def _strips(phrases: Iterable[Phrase]) -> list[Strips]:
    from drumgen.sheet.strips import phrase_strips  # noqa: PLC0415 - the engraver is loaded only where it is needed

    return [phrase_strips(phrase) for phrase in phrases]


def _put_together(
    phrases: Sequence[Phrase], strips: Sequence[Strips], table: dict[str, Any], *, title: str, note: str
) -> str:
    from drumgen.sheet.strips import signs  # noqa: PLC0415 - as above

    return page_text(
        title=title or _usual_title(phrases),
        note=note,
        told=[_told(phrase) for phrase in phrases],
        music=[Music(each.long, each.short, each.legend) for each in strips],
        signs=signs(code for each in strips for code in each.codes),
        table=table,
    )


def _usual_title(phrases: Sequence[Phrase]) -> str:
    more = len(phrases) - 1
    return f"{phrases[0].title} and {more} more" if more else phrases[0].title


def _told(phrase: Phrase) -> Told:
    swing = next((bar.feel.swing for bar in phrase.bars.values() if bar.feel.swing.long != bar.feel.swing.short), None)
    number = str(phrase.tempo).rpartition(" ")[2]
    tempo = f"{UNIT_NAMES[phrase.tempo.unit_grains(phrase.meter)]} = {number}"
    meter = str(phrase.meter) if swing is None else f"{phrase.meter}, swing {swing.of} {swing.ratio}"
    bars = [phrase.bars[name] for name in dict.fromkeys(phrase.order)]
    notes = [("", phrase.note), *((bar.name, bar.note) for bar in bars)]
    return Told(phrase.title, tempo, meter, tuple((name, note) for name, note in notes if note))


def _sound_table(phrases: Sequence[Phrase], tables: Sequence[dict[str, Any]], first: Sound) -> _Sounding:
    """The clips of all phrases, each played on the font's kit that its own asks for; ``first`` is the first's."""
    from drumgen.audio.bars import sounding_key  # noqa: PLC0415 - numpy only where audio is made
    from drumgen.audio.clips import make_clips  # noqa: PLC0415 - as above

    wanted: dict[int, set[tuple[int, int]]] = {}
    for phrase, table in zip(phrases, tables, strict=True):
        program = phrase.kit.program or 0
        keys = {each["name"]: sounding_key(phrase.kit.voices[each["name"]]) for each in table["voices"]}
        for each in table["voices"]:
            each["sounds"] = f"{program} {keys[each['name']]}"
        wanted.setdefault(program, set()).update((keys[name], force) for name, force in velocities(table))
    clips: list[dict[str, Any]] = []
    uses: dict[str, list[float]] = {}
    remarks: list[str] = []
    for program, strokes in wanted.items():
        made = make_clips(_sound_for(program, phrases[0], first), strokes)
        for (key, force), use in made.uses.items():
            uses[f"{program} {key} {force}"] = [len(clips) + use.clip, round(use.gain, 5)]
        clips += map(_clip_table, made.clips)
        remarks += made.remarks
    return _Sounding({"clips": clips, "uses": uses, "vary": first.seed is not None}, tuple(dict.fromkeys(remarks)))


def _sound_for(program: int, first_phrase: Phrase, first: Sound) -> Sound:
    from drumgen.audio.shots import choose_sound  # noqa: PLC0415 - as above

    if program == (first_phrase.kit.program or 0):
        return first
    return choose_sound(first.font, program=program, rate=first.rate, seed=first.seed)


def _clip_table(clip: Clip) -> dict[str, Any]:
    return {"flac": b64encode(clip.flac).decode(), "left": round(clip.left, 5), "right": round(clip.right, 5)}


def _usual_sound(phrase: Phrase) -> Sound:
    from drumgen.audio.shots import choose_sound  # noqa: PLC0415 - as above
    from drumgen.audio.soundfont import find_soundfont, open_soundfont  # noqa: PLC0415 - as above

    font = open_soundfont(find_soundfont(None, environment={}))
    return choose_sound(font, program=phrase.kit.program or 0)
