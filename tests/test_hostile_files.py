"""Hostile files: each is refused in a line, or done, within bounds of time and memory, and steers no terminal.

Every case runs as a process of its own with a limit of memory and of processor seconds (not of the clock's, so that a
busy machine changes nothing).
"""

import re
import subprocess
import sys
from pathlib import Path

import pytest

resource = pytest.importorskip("resource", reason="a system that limits no process")

MEMORY_BYTES = 700 << 20
PROCESSOR_S = 5
ORDER = 'phrase = ["a"]\n'
BAR = '[bars.a]\nsticking = "RLRR"\n'
SOUND = ORDER + BAR
ESCAPE = "\\u001b[31mred"
STEERING = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]")
SHOWN_AT_MOST = 20_000


def run(folder: Path, *arguments: str, seconds: int = PROCESSOR_S) -> tuple[int, str]:
    """The exit code, and all that was printed; the memory and the processor's time are limited."""

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))

    typed = [sys.executable, "-c", "from drumgen.cli import run; run()", *arguments]
    done = subprocess.run(typed, cwd=folder, capture_output=True, preexec_fn=limit, check=False)
    return done.returncode, (done.stdout + done.stderr).decode("utf-8")


def many(line: str, number: int) -> str:
    """So many lines, each with its number for every ``#``."""
    return "".join(line.replace("#", str(index)) for index in range(number))


def bar(*lines: str) -> str:
    return ORDER + "[bars.a]\n" + "\n".join(lines) + "\n"


def chain(number: int) -> str:
    """So many bars, each like the one before it, the first like bar a."""
    return "[bars.b0]\nlike = 'a'\n" + "".join(f"[bars.b{n}]\nlike = 'b{n - 1}'\n" for n in range(1, number))


DEEP = "expected at most 64 levels of nesting, got more"
NO_TOML = "not TOML: "
REFUSED = {
    "arrays": ("a = " + "[" * 100_000 + "]" * 100_000, DEEP),
    "arrays left open": ("a = " + "[" * 100_000, DEEP),
    "arrays on lines": ("a = " + "[\n" * 500 + "]\n" * 500, DEEP),
    "65 arrays": (SOUND + "a = " + "[" * 65 + "]" * 65, DEEP),
    "inline tables": ("a = " + "{a=" * 100_000 + "1" + "}" * 100_000, DEEP),
    "70 inline tables": ("a = " + "{a=" * 70 + "1" + "}" * 70, DEEP),
    "dotted keys": (".".join(["a"] * 100_000) + " = 1", DEEP),
    "dotted keys in quotes": (".".join(['"a b"'] * 20_000) + " = 1", DEEP),
    "dotted keys apart": (" . ".join(["'a'"] * 20_000) + " = 1", DEEP),
    "a dotted header": ("[" + ".".join(["a"] * 100_000) + "]\nb = 1", DEEP),
    "dotted keys in a table": ("a = { b = 1, " + ".".join(["a"] * 20_000) + " = 1 }", DEEP),
    "5000 digits": (ORDER + "tempo = " + "9" * 5000 + "\n" + BAR, "x.toml:2: expected a number of at most 4300 digits"),
    "4000 digits": (ORDER + "tempo = " + "9" * 4000 + "\n" + BAR, "got a very large number"),
    "5000 hexadecimal digits": (ORDER + "tempo = 0x" + "f" * 5000 + "\n" + BAR, "got a very large number"),
    "a stroke of 4200 digits": (bar("sticking = 'R'", "start = " + "9" * 4200), "got a very large number"),
    "a huge exponent": (ORDER + "tempo = 1e999999\n" + BAR, "x.toml:2: tempo: expected a tempo from 10 to 400"),
    "nan": (ORDER + "tempo = nan\n" + BAR, "x.toml:2: tempo: expected a tempo from 10 to 400 beats a minute, got nan"),
    "inf": (ORDER + "tempo = -inf\n" + BAR, "beats a minute, got -inf"),
    "a megabyte of keys": (many("k# = 1\n", 80_000), "x.toml: 79902 more faults"),
    "a megabyte of bars": (ORDER + BAR + many("[bars.b#]\n", 60_000), "bars: expected at most 5000 entries, got 60001"),
    "10000 faults": (bar("sticking = 'R'", "hands.R.around = [" + "3," * 10_000 + "]"), "hands.R.around"),
    "4000 faulty bars": (SOUND + many("[bars.b#]\nsticking = 'X'\n", 4_000), "x.toml: 3900 more faults"),
    "4000 faulty counts": (SOUND + many("[bars.b#]\naccents = '9'\n", 4_000), "x.toml: at least 400 more faults"),
    "10000 unknown voices": (bar("sticking = 'R'", "hands.R.around = [" + "'snair'," * 10_000 + "]"), "more faults"),
    "10000 unknown landings": (bar("landing = [" + "'krash'," * 10_000 + "]"), "at least 400 more faults"),
    "10000 unknown counts": (bar("hands.R = {" + ",".join(f'"{n}"="snare"' for n in range(5, 9_999)) + "}"), "4/4"),
    "80000 unknown bars": ("phrase = [" + "'b'," * 80_000 + "]\n" + BAR, "at least 400 more faults"),
    "150000 bars in order": ("phrase = [" + "'a'," * 150_000 + "]\n" + BAR, "at most 100000 bars, got 150000"),
    "100001 bars": ('phrase = ["a x100000", "a"]\n' + BAR, "phrase: expected at most 100000 bars, got 100001"),
    "x99999999": ('phrase = ["a x99999999"]\n' + BAR, 'from 1 to 100000, got "99999999"'),
    "x and 5000 digits": ('phrase = ["a x' + "9" * 5000 + '"]\n' + BAR, "expected a number of times from 1 to 100000"),
    "30000 parts": (SOUND + "[[bars.a.parts]]\nbeats = '1'\n" * 30_000, "parts that do not overlap"),
    "a megabyte of sticking": (bar("sticking = '" + "RL" * 500_000 + "'"), "a text of at most 20000 characters"),
    "a megabyte of counts": (bar("accents = '" + "1 " * 510_000 + "'"), "a text of at most 20000 characters"),
    "a megabyte of grace notes": (bar("sticking = '" + "l" * 1_000_000 + "R'"), "a text of at most 20000 characters"),
    "20000 grace notes": (bar("sticking = '" + "l" * 19_000 + "R'"), "one or two grace notes by the other hand"),
    "20000 brackets": (bar("sticking = '" + "(" * 19_000 + "'"), "one bracket around ghost notes"),
    "a long fault": (bar("accents = '" + "1 " * 9_000 + "x'"), 'all or every 3, got "x"'),
    "a megabyte of tempo": (ORDER + "tempo = '" + "a" * 1_000_000 + " '\n" + BAR, "at most 20000 characters"),
    "a long tempo": (ORDER + "tempo = '" + "a " * 9_000 + "'\n" + BAR, "expected a tempo such as 92"),
    "a long meter": (ORDER + "meter = '" + "1+" * 9_000 + "1/8'\n" + BAR, "an upper number from 1 to 32, got 9001"),
    "a megabyte of title": ("title = '" + "a" * 1_000_000 + "'\n" + SOUND, "title: expected at most 200 characters"),
    "a megabyte of a name": (f"phrase = ['a']\n[bars.{'a' * 1_000_000}]\n", "a name of 1 to 100 characters"),
    "a megabyte of quotes": ('a = "' + '"' * 1_000_000, NO_TOML),
    "a megabyte of three quotes": ('a = """' + '"' * 1_000_000, NO_TOML),
    "a megabyte of lines": ("\n" * 1_000_000 + "x", "x.toml:1000001: not TOML"),
    "a megabyte of headers": ("[" * 1_000_000, NO_TOML),
    "100000 tables of a list": ("[[a]]\n" * 100_000, "x.toml:1: a: expected one of the keys title"),
    "over a megabyte": ("#" + "a" * (1 << 20), "x.toml: expected a file of at most 1048576 bytes (1 MiB), got more"),
    "2000 circles": (SOUND + many("[bars.b#]\nlike = 'c#'\n[bars.c#]\nlike = 'b#'\n", 2_000), "in a circle"),
    "a deep chain": (SOUND + chain(4_000), "expected at most 64 bars in a row, each like the next, got more"),
    "a wide circle": (ORDER + chain(4_000) + "[bars.a]\nlike = 'b3999'\n", "expected at most 64 bars in a row"),
    "4900 bars that are like none": (SOUND + many("[bars.b#]\nlike = 'c#'\n", 4_900), "at least 400 more faults"),
    "a NUL": (ORDER + "\0" + BAR, "x.toml:2: not TOML: "),
    "half a pair": ('title = "\\ud800"\n' + SOUND, "x.toml:1: not TOML: "),
    "a kit with a NUL in its name": (ORDER + 'kit = "a\\u0000.toml"\n' + BAR, "there is no such file"),
    "a table in the place of bars": (ORDER + "bars = [1, 2]\n", "x.toml:2: bars: expected a table"),
    "dates": (ORDER + "tempo = 2026-01-01\ntitle = 07:00:00\n" + BAR, "x.toml:2: tempo: expected a tempo"),
    "an escape in the text itself": ("title = \x1b[31m\n", "x.toml:1: not TOML: "),
    "an escape in a comment": ("# \x1b[31m\n" + SOUND, "x.toml:1: not TOML: "),
    **{
        f"an escape in {where}": (text.replace("ESC", ESCAPE), "�[31mred")
        for where, text in {
            "an unknown key": '"ESC" = 1\n' + SOUND,
            "a long title": f'title = "{"ESC" * 100}"\n' + SOUND,
            "a bar's name": 'phrase = ["ESC"]\n[bars."ESC"]\nsticking = "RLX"\n',
            "an unknown bar": 'phrase = ["ESC"]\n[bars."ESC2"]\nsticking = "RL"\n',
            "a voice": bar('sticking = "R"', 'hands.R = "ESC"'),
            "a hand's map": bar('sticking = "R"', 'hands.R = { "ESC" = "snare" }'),
            "a foot": bar('feet."ESC" = "1"'),
            "a foot's counts": bar('feet.kick = "ESC"'),
            "accents": bar('accents = { "ESC" = "1" }'),
            "ghosts": bar('ghosts = "ESC"'),
            "a dynamic mark": bar('dynamics = "ESC"'),
            "a swing": bar('feel.swing = { of = "eighths", ratio = "ESC" }'),
            "a meter": ORDER + 'meter = "ESC"\n' + BAR,
            "a tempo": ORDER + 'tempo = "ESC"\n' + BAR,
            "a kit": ORDER + 'kit = "ESC"\n' + BAR,
            "a kit's path": ORDER + 'kit = "ESC.toml"\n' + BAR,
            "a rudiment": bar('rudiment = "ESC"'),
            "a subdivision": bar('subdivision = "ESC"'),
            "a role": bar('role = "ESC"'),
            "a like": bar('like = "ESC"'),
            "a landing": 'landing = ["crash", "ride", "splash", "ESC"]\n' + SOUND,
            "a limb": SOUND + '[practice]\nlimbs = "ESC"\n',
            "the bars that are played": SOUND + '[practice]\nbars = "ESC"\n',
            "the only bar": SOUND + '[practice]\nonly = "ESC"\n',
            "a mute": SOUND + '[practice]\nmute = ["ESC"]\n',
            "a click": SOUND + '[practice]\nclick = "ESC"\n',
        }.items()
    },
}  # fmt: skip

DONE = {
    "an exact megabyte": SOUND + "#" + "a" * ((1 << 20) - len(SOUND) - 1),
    "two byte order marks": "\ufeff\ufeff" + SOUND,
    "a tempo of 100000 figures": ORDER + "tempo = 90." + "1" * 100_000 + "\n" + BAR,
    "5000 bars": ORDER + BAR + many("[bars.b#]\n", 4_999),
    "4000 bars like one": SOUND + many("[bars.b#]\nlike = 'a'\n", 4_000),
    "9000 counts": bar("sticking = 'R'", "accents = '" + "1 " * 9_000 + "'"),
    "20000 signs": bar("sticking = '" + "RL" * 9_999 + "'", "across = 'carry'"),
    "9000 silent counts": bar("sticking = 'R---------------'", "accents = '" + "1e " * 6_000 + "'"),
    "an escape in the title": f'title = "{ESCAPE}"\n' + SOUND,
    "an escape in the note": f'note = "{ESCAPE}"\n' + SOUND,
    "an escape in a bar's name": f'phrase = ["{ESCAPE}"]\n[bars."{ESCAPE}"]\nsticking = "RL"\nnote = "{ESCAPE}"\n',
    "a NUL in the title": 'title = "a\\u0000b"\n' + SOUND,
    "a line end in the title": 'title = "a\\nb"\n' + SOUND,
    "a title that turns round": 'title = "\u202egnissam"\n' + SOUND,
    "a note that turns round": 'note = "\u2067gnissam"\n' + SOUND,
}


@pytest.mark.parametrize(("text", "said"), REFUSED.values(), ids=REFUSED.keys())
def test_it_is_refused_in_a_line(tmp_path: Path, text: str, said: str) -> None:
    (tmp_path / "x.toml").write_bytes(text.encode("utf-8", "surrogatepass"))
    code, shown = run(tmp_path, "check", "x.toml")
    assert code == 2, shown[-500:]
    assert said in shown
    check_shown(shown)


@pytest.mark.parametrize("text", DONE.values(), ids=DONE.keys())
@pytest.mark.parametrize("arguments", [["check", "x.toml"], ["show", "x.toml"], ["render", "x.toml", "-o", "x.mid"]])
def test_it_is_done(tmp_path: Path, arguments: list[str], text: str) -> None:
    (tmp_path / "x.toml").write_bytes(text.encode())
    code, shown = run(tmp_path, *arguments)
    assert code == 0, shown[-500:]
    check_shown(shown, most=1 << 20)


def check_shown(shown: str, *, most: int = SHOWN_AT_MOST) -> None:
    assert shown.strip()
    assert "Traceback" not in shown
    assert not STEERING.search(shown)
    assert len(shown) <= most
    assert max(map(len, shown.splitlines())) <= 700


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b'title = "\xff\xfe"\n', "x.toml:1: expected text in UTF-8, got byte FF hex at 9"),
        (b'title = "\xed\xa0\x80"\n', "x.toml:1: expected text in UTF-8, got byte ED hex at 9"),
        (b"\n\n# caf\xe9\n", "x.toml:3: expected text in UTF-8, got byte E9 hex at 7"),
        (SOUND.encode("utf-16"), "x.toml:1: expected text in UTF-8"),
        (b"", "x.toml: phrase: expected a line phrase = "),
        (b"\r" * 1000, "x.toml:1: not TOML: "),
    ],
)
def test_what_is_no_text(tmp_path: Path, content: bytes, said: str) -> None:
    (tmp_path / "x.toml").write_bytes(content)
    code, shown = run(tmp_path, "check", "x.toml")
    assert code == 2
    assert said in shown
    check_shown(shown)


def test_a_file_without_end_is_read_to_its_bound(tmp_path: Path) -> None:
    (tmp_path / "x.toml").symlink_to("/dev/zero")
    code, shown = run(tmp_path, "check", "x.toml")
    assert (code, shown) == (2, "x.toml: expected a file of at most 1048576 bytes (1 MiB), got more\n")


def test_a_hundred_thousand_bars_are_done_or_refused_for_want_of_memory(tmp_path: Path) -> None:
    (tmp_path / "x.toml").write_text('phrase = ["a x100000"]\n' + BAR)
    code, shown = run(tmp_path, "render", "x.toml", "-o", "x.mid", seconds=60)
    assert code in (0, 2)
    assert (code == 0) == (tmp_path / "x.mid").exists()
    assert "wrote x.mid: 100000 bars" in shown or shown.startswith("there is not enough memory for so much at once")
    check_shown(shown)


@pytest.mark.parametrize(
    "argument", ["R" * 100_000, "(" * 50_000, "l" * 100_000, "x" * 100_000, "\x1b[31mred", "R\x1b[31m"]
)
def test_a_hostile_argument(tmp_path: Path, argument: str) -> None:
    code, shown = run(tmp_path, "check", argument)
    assert code == 2
    check_shown(shown)
