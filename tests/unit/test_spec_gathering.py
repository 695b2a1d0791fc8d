"""Faults find the line where their value was said, and each is told once."""

from drum_room import said

from drumgen.errors import DrumgenError, Fault
from drumgen.spec.gathering import FILE, Gathering, Origin, merged

ORIGIN = Origin("b", {("accents",): "a", ("hands", "R"): "c", ("sticking",): "a"})


def test_a_fault_of_the_file_as_a_whole() -> None:
    assert FILE.placed(Fault("x", path=("tempo",))) == Fault("x", path=("tempo",))
    assert str(Origin("", {}, user="b").placed(Fault("x", path=("feel",)))) == "feel: x [used by bars.b]"


def test_a_fault_of_a_bars_own_and_of_inherited_values() -> None:
    assert str(ORIGIN.placed(Fault("x", path=("ghosts",)))) == "bars.b.ghosts: x"
    assert str(ORIGIN.placed(Fault("x", path=("accents", "L")))) == "bars.a.accents.L: x [used by bars.b]"
    assert str(ORIGIN.placed(Fault("x", path=("hands", "R", "main")))) == "bars.c.hands.R.main: x [used by bars.b]"
    assert str(ORIGIN.placed(Fault("x", path=("sticking",)))) == "bars.a.sticking: x [used by bars.b]"
    assert str(Origin("b", {}).placed(Fault("x", path=("sticking",)))) == "bars.b.sticking: x"
    of_rudiment = Origin("b", {("rudiment",): "a"})
    assert str(of_rudiment.placed(Fault("x", path=("sticking",)))) == "bars.a.sticking: x [used by bars.b]"


def test_a_fault_further_inside() -> None:
    assert str(ORIGIN.within(("parts", 0)).placed(Fault("x", path=("beats",)))) == "bars.b.parts[1].beats: x"


def test_what_is_attempted_is_given_or_noted() -> None:
    gathering = Gathering()

    def refuse() -> int:
        raise DrumgenError(Fault("one", path=("R",)), Fault("two"))

    assert gathering.attempt(lambda: 3) == 3
    assert gathering.attempt(refuse, ("hands",), Origin("b", {})) is None
    assert [str(fault) for fault in gathering.faults] == ["bars.b.hands.R: one", "bars.b.hands: two"]
    gathering.fault(Fault("three"))
    assert str(gathering.faults[-1]) == "three"
    assert said(refuse) == "R: one\ntwo"


def test_the_users_of_one_fault_are_named_together() -> None:
    vias = ["used by bars.b", "used by bars.c", "used by bars.b"]
    assert [fault.via for fault in merged(Fault("x", via=via) for via in vias)] == ["used by bars.b, bars.c"]
    assert [fault.via for fault in merged([Fault("x", via="used by bars.b"), Fault("x")])] == [""]
    assert len(merged([Fault("x"), Fault("y"), Fault("x")])) == 2
