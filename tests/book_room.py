"""Where books are bound: folders of small phrases, and what a folder holds afterwards."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from drumgen.binding.bind import Binding, bind_book
from drumgen.spec.book_loading import load_book

if TYPE_CHECKING:
    from pathlib import Path

    from drumgen.binding.bound import Bound

BROKEN = 'phrase = ["a"]\n[bars.a]\nsticking = "RLX"\n'
LADDERED = '[practice]\nladder = "100 to 120 by 20"\n'


def phrase_text(title: str = "Weir", sticking: str = "RLRR LRLL", more: str = "") -> str:
    """A phrase file of one bar; ``more`` are tables."""
    return f'title = "{title}"\nphrase = ["a"]\n{more}[bars.a]\nsticking = "{sticking}"\nfeet.kick = "1"\n'


def write_phrases(folder: Path, **texts: str) -> None:
    """Phrase files by their names."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in texts.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")


def bound(folder: Path, out: Path, **said: Any) -> Bound:  # noqa: ANN401 - the fields of a binding
    """A folder's book bound in this process."""
    return bind_book(load_book(folder), out, binding=Binding(**{"workers": 1, **said}))


def contents(out: Path) -> dict[str, bytes]:
    """The files of a book by their names, without the record; none where nothing was made."""
    return {path.name: path.read_bytes() for path in sorted(out.glob("*")) if path.is_file()}
