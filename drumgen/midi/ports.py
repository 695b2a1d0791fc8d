"""MIDI ports: what there are, one chosen by a part of its name, opened.

They are mido's, by the backend that it uses (python-rtmidi, unless the environment variable MIDO_BACKEND says another).
"""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from drumgen.errors import DrumgenError, Fault, nearest

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

INSTALLING = "the library for MIDI ports, which pip install python-rtmidi brings"


@contextmanager
def open_port(part: str) -> Iterator[Any]:
    """The one port to play to with ``part`` in its name, open for so long; mido's, which has ``name`` and ``send``.

    Raises DrumgenError where none or several are meant, with those that there are, and where none can be reached.
    """
    import mido

    name = choose_port(part, _reached(mido.get_output_names))
    port = _reached(lambda: mido.open_output(name))
    try:
        yield port
    finally:
        port.close()


def choose_port(part: str, names: Sequence[str]) -> str:
    """The one name that ``part`` is, or else is a part of, in capitals or not. Raises DrumgenError with the names.

    >>> choose_port("module", ["Through 14:0", "Drum Module 20:0"])
    'Drum Module 20:0'
    """
    found = [name for name in names if name == part] or [name for name in names if part.casefold() in name.casefold()]
    if len(set(found)) == 1:
        return found[0]
    if not names:
        raise DrumgenError(
            Fault("there is no MIDI port to play to: is the module switched on and plugged in?", path=("port",))
        )
    listed = ", ".join(f'"{name}"' for name in dict.fromkeys(found or names))
    rule = f"a part of the name of one port, and this is of {len(found)}" if found else "a part of a port's name"
    raise DrumgenError(Fault(f"{rule} ({listed})", got=f'"{part}"', nearest=nearest(part, names), path=("port",)))


def _reached(ask: Any) -> Any:  # noqa: ANN401 - mido has no types
    """What mido answers; where it cannot, a line that says why."""
    try:
        return ask()
    except ImportError as error:
        raise DrumgenError(Fault(INSTALLING, got=str(error), path=("port",))) from None
    except OSError as error:
        raise DrumgenError(Fault(f"no MIDI port can be reached: {error}", path=("port",))) from None
