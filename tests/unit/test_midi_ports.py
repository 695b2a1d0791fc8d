"""MIDI ports by a part of their name, through a backend of mido's that is in this process."""

from collections.abc import Iterator

import mido
import port_backend
import pytest

from drumgen.errors import DrumgenError
from drumgen.midi.ports import choose_port, open_port

NAMES = ("Through 14:0", "Drum Module 20:0", "Drum Pad 24:0", "Drum Pad")


@pytest.fixture(autouse=True)
def _here() -> Iterator[None]:
    before = mido.backend.name
    mido.set_backend("port_backend")
    yield
    mido.set_backend(before)


@pytest.mark.parametrize(
    ("part", "chosen"),
    [("module", NAMES[1]), ("20:0", NAMES[1]), ("THROUGH", NAMES[0]), ("Drum Pad", NAMES[3]), ("Pad 24:0", NAMES[2])],
)
def test_a_part_of_a_name_in_capitals_or_not(part: str, chosen: str) -> None:
    assert choose_port(part, NAMES) == chosen


def test_a_name_that_the_system_gives_twice_is_one() -> None:
    assert choose_port("pad", ["Pad", "Pad"]) == "Pad"


@pytest.mark.parametrize(
    ("part", "names", "said"),
    [
        (
            "um",
            NAMES[:3],
            'expected a part of the name of one port, and this is of 2 ("Drum Module 20:0", "Drum Pad 24:0"), got "um"',
        ),
        (
            "Pad 11",
            ("Through 14:0", "Pad 1"),
            'expected a part of a port\'s name ("Through 14:0", "Pad 1"), got "Pad 11" (nearest: "Pad 1")',
        ),
        ("x", ("Pad",), 'expected a part of a port\'s name ("Pad"), got "x"'),
        ("x", (), "there is no MIDI port to play to: is the module switched on and plugged in?"),
    ],
)
def test_none_or_several_are_refused_with_their_names(part: str, names: tuple[str, ...], said: str) -> None:
    with pytest.raises(DrumgenError) as caught:
        choose_port(part, names)
    assert str(caught.value) == f"port: {said}"


def test_a_port_is_open_for_so_long() -> None:
    with open_port("module") as port:
        assert port.name == "Drum Module 20:0"
        assert port_backend.OPEN == ["Drum Module 20:0"]
    assert not port_backend.OPEN


def test_a_port_is_closed_whatever_happens() -> None:
    with pytest.raises(KeyboardInterrupt, match=r"^while it is open$"), open_port("module"):
        raise KeyboardInterrupt("while it is open")
    assert not port_backend.OPEN


def test_without_the_library_it_is_said_what_to_install() -> None:
    mido.set_backend("mido.backends.no_such_library")
    said = (
        "port: expected the library for MIDI ports, which pip install python-rtmidi brings, "
        "got No module named 'mido.backends.no_such_library'"
    )
    with pytest.raises(DrumgenError) as caught, open_port("module"):
        pytest.fail("nothing is open")
    assert str(caught.value) == said


@pytest.mark.parametrize("asked", ["get_devices", "Output"])
def test_a_system_without_ports_says_why(monkeypatch: pytest.MonkeyPatch, asked: str) -> None:
    def refusing(*_: object, **__: object) -> None:
        raise OSError("no sequencer here")

    monkeypatch.setattr(port_backend, asked, refusing)
    with pytest.raises(DrumgenError) as caught, open_port("module"):
        pytest.fail("nothing is open")
    assert str(caught.value) == "port: no MIDI port can be reached: no sequencer here"
