"""The document: one HTML file of everything a page is made of, which loads nothing and asks the network for nothing.

Text is escaped for where it stands: in markup by the references of HTML, in the script's data as JSON without ``<``
and without the line separators that scripts of old took for line ends. The policy lets run only this style and this
script, by their SHA-256 (W3C, Content Security Policy Level 3).
"""

from __future__ import annotations

import json
import re
from base64 import b64encode
from hashlib import sha256
from html import escape
from pkgutil import get_data
from typing import TYPE_CHECKING, Any, NamedTuple

from drumgen.errors import printable
from drumgen.trade.cautions import HEARING_SENTENCE, STRAIN_SENTENCE

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

SCRIPTS = (
    "keeping.js",
    "words.js",
    "settings.js",
    "feel.js",
    "rounds.js",
    "playing.js",
    "sound.js",
    "fitting.js",
    "staff.js",
    "showing.js",
    "keys.js",
    "front.js",
    "notes.js",
    "controls.js",
    "page.js",
)
"""The modules of the script, each after those that it imports."""

_IMPORT = re.compile(r"^import .*? from \"\./[a-z]+\.js\";\n", re.MULTILINE | re.DOTALL)
_EXPORT = re.compile(r"^export (?=(?:async )?(?:function|class|const)\b)", re.MULTILINE)
_BLANK = re.compile(r"@@(\w+)@@")


class Music(NamedTuple):
    """One phrase on paper: its lines as SVG texts, long and short, and the rows of its legend."""

    long: Sequence[str]
    short: Sequence[str]
    legend: Sequence[str] = ()


class Told(NamedTuple):
    """What stands over a phrase's music: its title, its tempo as it is written, its meter, its lines to the player."""

    title: str
    tempo: str
    meter: str
    notes: Sequence[tuple[str, str]] = ()


def page_text(
    *, title: str, told: Sequence[Told], music: Sequence[Music], signs: str, table: Mapping[str, Any], note: str = ""
) -> str:
    """The page of phrases, ``told`` and ``music`` one each; ``table`` is what its script plays from.

    ``note`` is to the player, in lines, over the list of the phrases; a page that has one begins with it. ``signs``
    are the outlines that the music uses. The same arguments give the same text.
    """
    script, style = _script(), _file("page.css")
    phrases = zip(told, music, strict=True)
    blanks = {
        "policy": _policy(script, style),
        "title": _text(title),
        "style": style,
        "signs": signs,
        "several": ' class="several"' if len(told) > 1 else "",
        "heading": _heading(title, told),
        "front": _front(title, note, told),
        "phrases": "\n".join(_phrase(*each, alone=(len(told) == 1 and title == told[0].title)) for each in phrases),
        "caution": _text(f"{HEARING_SENTENCE} {STRAIN_SENTENCE}"),
        "data": script_json(table),
        "script": script,
    }
    return _BLANK.sub(lambda match: blanks[match[1]], _file("page.html"))


def script_json(value: object) -> str:
    r"""A value as JSON that can stand in a script element of HTML.

    >>> script_json(["</script>", "\u2028"])
    '["\\u003c/script>","\\u2028"]'
    """
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), sort_keys=True, allow_nan=False)
    for char in "<\u2028\u2029":
        text = text.replace(char, f"\\u{ord(char):04x}")
    return text


def _text(text: str) -> str:
    """A text of the user's as HTML: in one line, without marks that turn the writing round."""
    return escape(printable(text))


def _file(name: str) -> str:
    content = get_data("drumgen.page", name)
    if content is None:
        raise FileNotFoundError(name)
    return content.decode().replace("\r\n", "\n")


def _script() -> str:
    """All modules as one: what they import stands before them."""
    return "\n".join(_EXPORT.sub("", _IMPORT.sub("", _file(name))) for name in SCRIPTS)


def _policy(script: str, style: str) -> str:
    hashes = (b64encode(sha256(text.encode()).digest()).decode() for text in (script, style))
    parts = (
        "default-src 'none'",
        *(f"{kind}-src 'sha256-{each}'" for kind, each in zip(("script", "style"), hashes, strict=True)),
        "img-src data:",
        "base-uri 'none'",
        "form-action 'none'",
    )
    return "; ".join(parts)


def _heading(title: str, told: Sequence[Told]) -> str:
    """The page's title, and with several phrases the choice of one."""
    if len(told) == 1:
        return f"<h1>{_text(title)}</h1>"
    options = "".join(f'<option value="{index}">{_text(each.title)}</option>' for index, each in enumerate(told))
    heading = f"<h1>{_text(title)}</h1>\n" if title else ""
    choice = f'<p><label for="which">Phrase</label> <select id="which">{options}</select></p>'
    return f'{heading}{choice}\n<button type="button" data-act="front">All phrases</button>'


def _front(title: str, note: str, told: Sequence[Told]) -> str:
    """What stands before the music: the page's title and notes to the player, and with several phrases their list."""
    notes = _notes(_note(note))
    if len(told) == 1:
        return f'<section class="front">{notes}</section>' if notes else ""
    rows = "".join(
        f'<li><button type="button" data-phrase="{index}"><span class="name">{_text(each.title)}</span> '
        f'<span class="how">{_text(each.tempo)}, {_text(each.meter)}</span></button></li>'
        for index, each in enumerate(told)
    )
    begins = ' data-begins=""' if notes else ""
    heading = f"<h2>{_text(title)}</h2>" if title else ""
    return f'<section id="front" class="front put-away"{begins}>{heading}{notes}<ol>{rows}</ol></section>'


def _notes(paragraphs: Iterable[str]) -> str:
    """Paragraphs to the player, and over them what folds and unfolds them; nothing where there are none."""
    text = "".join(paragraphs)
    fold = '<button type="button" class="unfold" aria-expanded="true" hidden>Notes to the player</button>'
    return text and f'<div class="notes">{fold}<div class="leaf">{text}</div></div>'


def _note(note: str, name: str = "") -> Iterator[str]:
    """The lines of a note, each its own paragraph, the first with the name of what it is about."""
    label = f"<b>{_text(name)}:</b> " if name else ""
    for line in filter(None, map(str.strip, note.split("\n"))):
        yield f'<p class="note-line">{label}{_text(line)}</p>'
        label = ""


def _phrase(told: Told, music: Music, *, alone: bool) -> str:
    lines = [] if alone else [f"<h2>{_text(told.title)}</h2>"]
    tempo = f'<span class="on-paper">{_text(told.tempo)}, </span>{_text(told.meter)}'
    lines.append(f'<p class="written-tempo">{tempo}</p>')
    lines.append(_notes(line for name, note in told.notes for line in _note(note, name)))
    lines += [f'<div class="legend-row">{row}</div>' for row in music.legend]
    editions = "".join(_edition(kind, strips) for kind, strips in (("long", music.long), ("short", music.short)))
    return f'<section class="phrase"><div class="heading">{"".join(lines)}</div>{editions}</section>'


def _edition(kind: str, strips: Sequence[str]) -> str:
    lines = "".join(f'<div class="strip">{strip}</div>' for strip in strips)
    return f'<div class="edition {kind}"{" hidden" if kind == "short" else ""}>{lines}</div>'
