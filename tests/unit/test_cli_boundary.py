"""The contract of the command line: exit codes, streams, consoles, dashes, help."""

import inspect
import io
import json
import os
import re
import signal
import subprocess
import sys
import threading
from importlib import import_module
from pathlib import Path

import pytest
from command_line import PIER, PROGRAM, spawn, waited_for
from golden_case import run_here
from needs import need_letters

from drumgen.cli import boundary, phrases, program
from drumgen.cli.program import COMMANDS


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "pier.toml").write_text(PIER)


def breaking(error: BaseException) -> object:
    def raising(*_: object, **__: object) -> object:
        raise error

    return raising


# -- exit codes


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (["show", "RLRR"], 0),
        (["--help"], 0),
        (["--version"], 0),
        (["kits"], 0),
        (["show", "RLX"], 2),
        (["show", "nope.toml"], 2),
        (["nope"], 2),
        (["show", "RLRR", "--nope"], 2),
        (["show"], 2),
        ([], 2),
        (["show", "RLRR", "--times", "often"], 2),
    ],
)
def test_the_exit_code(arguments: list[str], code: int) -> None:
    assert run_here(arguments)[0] == code


def test_results_go_to_standard_output_and_everything_else_beside_it() -> None:
    code, out, errors = run_here(["check", "lR", "RLX", "pier.toml"])
    assert code == 2
    assert "Pier: 4 bars" in out
    assert "RLX" not in out
    assert "expected R, L, B, K, H or -, got X" in errors
    assert "remark: an empty bar stands in front" in errors
    assert "Pier" not in errors


def test_a_bug_says_that_it_is_ours(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(phrases, "sketch", breaking(RuntimeError("a rope has snapped")))
    code, out, errors = run_here(["show", "RLRR"])
    assert (code, out) == (3, "")
    first, *_, last = errors.splitlines()
    assert re.fullmatch(r"a bug in drumgen [\d.a-z]+ \(Python [\d.]+\), not in your file:", first)
    assert last == "RuntimeError: a rope has snapped"


def test_a_value_error_of_our_own_is_a_bug_too(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(phrases, "sketch", breaking(ValueError("not the user's")))
    assert run_here(["show", "RLRR"])[0] == 3


def test_too_little_memory_is_said_plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(phrases, "sketch", breaking(MemoryError()))
    code, _, errors = run_here(["show", "RLRR"])
    assert code == 2
    assert errors == "there is not enough memory for so much at once: fewer bars, or fewer --times, take less\n"


@pytest.mark.parametrize("error", [KeyboardInterrupt(), EOFError()], ids=repr)
def test_an_interrupt(monkeypatch: pytest.MonkeyPatch, error: BaseException) -> None:
    monkeypatch.setattr(phrases, "sketch", breaking(error))
    assert run_here(["show", "RLRR"])[0] == 130


def test_another_way_to_end_is_not_swallowed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(boundary, "_run", breaking(SystemExit(7)))
    with pytest.raises(SystemExit, match=r"^7$"):
        run_here(["show", "RLRR"])


HEEDING = """
import signal, sys
for name in sys.argv.pop(1).split():
    signal.signal(getattr(signal, name), signal.default_int_handler if name == "SIGINT" else signal.SIG_DFL)
from drumgen.cli import run
run()
"""
"""The program, which heeds signals though the tests themselves may have been told to ignore them."""


@pytest.mark.skipif(sys.platform == "win32", reason="signals that Windows does not know")
@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
def test_a_request_to_end_and_a_terminal_that_is_closed_are_an_interrupt(tmp_path: Path, name: str) -> None:
    """So that what was begun is cleared away. A shell sends the last twice."""
    typed = [sys.executable, "-c", HEEDING, name, "render", "pier.toml", "-o", "pier.mid", "--watch"]
    process = subprocess.Popen(typed, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    with waited_for(process) as said:
        assert said.readline().startswith("wrote pier.mid")
        for _ in range(1 if name == "SIGINT" else 2):
            process.send_signal(getattr(signal, name))
        _, errors = process.communicate()
    assert (process.returncode, errors) == (130, "")


IGNORING = """
import os, signal
signal.signal(signal.SIGHUP, signal.SIG_IGN)
from drumgen.cli.boundary import heed_endings
heed_endings()
os.kill(os.getpid(), signal.SIGHUP)
print("at work")
"""


@pytest.mark.skipif(sys.platform == "win32", reason="as above")
def test_a_terminal_that_is_closed_does_not_end_what_was_started_to_go_on() -> None:
    """As by ``nohup``."""
    done = subprocess.run([sys.executable, "-c", IGNORING], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (0, "at work\n")


BROKEN_OFF = """
import sys
class Stopping:
    def find_spec(self, name, *_):
        if name == "drumgen.cli.boundary":
            raise KeyboardInterrupt
sys.meta_path.insert(0, Stopping())
from drumgen.cli import run
run()
"""


def test_an_interruption_while_the_program_is_being_read() -> None:
    done = subprocess.run([sys.executable, "-c", BROKEN_OFF], capture_output=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (130, b"", b"")


# -- pipes and consoles


@pytest.mark.parametrize("arguments", [["rudiments"], ["show", "pier.toml"], ["schema"], ["--help"]], ids=" ".join)
@pytest.mark.parametrize("lines", [0, 1])
def test_a_closed_pipe_is_no_error(tmp_path: Path, arguments: list[str], lines: int) -> None:
    typed = [*PROGRAM, *arguments]
    with subprocess.Popen(typed, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        for _ in range(lines):
            process.stdout.readline()
        process.stdout.close()
        assert process.stderr.read() == b""
    assert process.returncode == 0


@pytest.mark.parametrize("closed", [("stdout",), ("stderr",), ("stdin", "stdout", "stderr")])
@pytest.mark.parametrize(
    ("typed", "code"),
    [(["render", "pier.toml", "-o", "a.mid", "-o", "a.pdf"], 0), (["check", "lR"], 0), (["show", "X"], 2)],
)
def test_a_stream_that_was_closed_from_the_start(
    typed: list[str],
    code: int,
    closed: tuple[str, ...],
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    """Python has no stream then; what would go there is not printed on the other one."""
    for name in closed:
        monkeypatch.setattr(sys, name, None)
    assert boundary.main(typed) == code
    for name in closed:
        getattr(sys, name).close()
    out = capfd.readouterr().out
    assert Path("a.pdf").exists() == ("a.pdf" in typed)
    assert "remark" not in out
    assert "expected" not in out


CLOSED = """
import os, sys
os.close(2)
os.execv(sys.executable, [sys.executable, *sys.argv[1:]])
"""


@pytest.mark.skipif(sys.platform == "win32", reason="streams are closed otherwise there")
def test_a_books_processes_do_without_a_stream_that_was_closed_from_the_start(tmp_path: Path) -> None:
    (tmp_path / "course").mkdir()
    (tmp_path / "course" / "pier.toml").write_text(PIER)
    typed = [sys.executable, "-c", CLOSED, *PROGRAM[1:], "book", "course", "-o", "made"]
    done = subprocess.run(typed, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (0, "course: made 6 files, in made\n")


@pytest.mark.parametrize(
    ("typed", "code"), [(["render", "lR", "-o", "a.mid"], 0), (["show", "X"], 2), (["check", "lR"], 0)]
)
def test_nobody_reads_what_is_said_beside_the_result(tmp_path: Path, typed: list[str], code: int) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run([*PROGRAM, *typed], cwd=tmp_path, stdout=subprocess.PIPE, stderr=writing, check=False)
    os.close(writing)
    assert done.returncode == code
    assert bool(done.stdout) == (code == 0)
    assert (tmp_path / "a.mid").exists() == ("a.mid" in typed)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="named pipes of POSIX")
def test_a_phrase_may_come_through_a_pipe_that_has_a_name() -> None:
    """As a shell gives one to ``drumgen show <(drumgen new RLRR)``."""
    os.mkfifo("pipe")
    threading.Thread(target=Path("pipe").write_text, args=(PIER,), daemon=True).start()  # it waits for a reader
    code, out, errors = run_here(["show", "pipe"])
    assert (code, errors) == (0, "")
    assert out == run_here(["show", "pier.toml"])[1]


@pytest.mark.parametrize("encoding", ["cp1252", "ascii", "utf-8"])
@pytest.mark.parametrize("command", ["show", "check"])
def test_a_console_that_cannot_show_a_sign(tmp_path: Path, command: str, encoding: str) -> None:
    path = tmp_path / "tide.toml"
    path.write_text(f'title = "水門の歌 ♩ = 90 — Übung"\nnote = "Тихо ♪"\n{PIER.partition(chr(10))[2]}', "utf-8")
    code, out, errors = spawn(tmp_path, command, "tide.toml", encoding=encoding)
    assert (code, errors) == (0, "")
    shown = {"utf-8": "水門の歌 ♩ = 90 — Übung", "cp1252": "???? ? = 90 — Übung", "ascii": "???? ? = 90 ? ?bung"}
    assert shown[encoding] in out


@pytest.mark.parametrize("encoding", ["cp1252", "ascii"])
def test_an_error_on_a_console_that_cannot_show_it(tmp_path: Path, encoding: str) -> None:
    need_letters()
    (tmp_path / "水門.toml").write_text('phrase = ["歌"]\n[bars."歌"]\nsticking = "R水"\n', "utf-8")
    code, out, errors = spawn(tmp_path, "check", "水門.toml", encoding=encoding)
    assert (code, out) == (2, "")
    assert errors.startswith('??.toml:3: bars."?".sticking: expected R, L, B, K, H or -, got ?')


@pytest.mark.parametrize("encoding", ["cp1252", "ascii"])
@pytest.mark.parametrize("command", sorted(COMMANDS))
def test_help_on_a_console_that_cannot_show_a_sign(tmp_path: Path, command: str, encoding: str) -> None:
    code, out, errors = spawn(tmp_path, command, "--help", encoding=encoding)
    assert (code, errors) == (0, "")
    assert "Options:" in out


def test_a_stream_that_cannot_be_reconfigured_is_left_as_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    out = io.StringIO()
    monkeypatch.setattr(sys, "stdout", out)
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    assert boundary.main(["--version"]) == 0
    assert out.getvalue().startswith("drumgen ")


def test_what_could_steer_a_terminal_is_not_printed() -> None:
    Path("x.toml").write_text('title = "a\\u001b[31mb"\nnote = "c\\u202ed"\n' + PIER.partition("\n")[2])
    for command in ("show", "check"):
        _, out, _ = run_here([command, "x.toml"])
        assert "a�[31mb" in out
        assert "\x1b" not in out
        assert "\u202e" not in out
    assert "c�d" in run_here(["show", "x.toml"])[1]


# -- dashes


@pytest.mark.parametrize(
    ("arguments", "better"),
    [
        (["show", "-RLL"], "drumgen show -- -RLL"),
        (["show", "-RLL", "--tempo", "80"], "drumgen show --tempo 80 -- -RLL"),
        (["show", "--tempo", "80", "-RLL"], "drumgen show --tempo 80 -- -RLL"),
        (["show", "- RLL"], 'drumgen show -- "- RLL"'),
        (["show", "-lR>L"], "drumgen show -- -lR>L"),
        (["new", "-RLL"], "drumgen new -- -RLL"),
        (["check", "RL", "-(RL)"], "drumgen check RL -- -(RL)"),
    ],
)
def test_a_sticking_that_begins_with_a_rest_is_told_how_to_be_written(arguments: list[str], better: str) -> None:
    code, out, errors = run_here(arguments)
    assert (code, out) == (2, "")
    assert errors.endswith(f"put -- before a sticking that begins with a rest: {better}\n")


def test_after_two_dashes_it_is_a_sticking() -> None:
    code, out, _ = run_here(["show", "--tempo", "80", "--", "-RLL"])
    assert code == 0
    assert out.startswith("-RLL\n4/4, quarter 80")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["show", "-4"], "no such option: -4 (see drumgen show --help)\n"),
        (["show", "--"], "missing argument 'PHRASE' (see drumgen show --help)\n"),
        (["show", "--", "--"], "--\n4/4, quarter 90"),
        (["show", "-"], "-\n4/4, quarter 90"),
        (["show", "--RLL"], "drumgen show -- --RLL\n"),
        (["show", "RLRR", "--tempoo", "9"], "no such option: --tempoo"),
        (["shwo"], "no such command 'shwo' (see drumgen --help)\n"),
        (["show", "RLRR", "--times", "often"], "invalid value for '--times': expected a whole number (see drumgen"),
        (
            ["assess", "RL", "a.mid", "--debounce", "x"],
            "invalid value for '--debounce': expected a number (see drumgen",
        ),
        (["show", "RLRR", "--across", ""], 'across: expected one of restart, carry, once, got ""'),
        (["book", "", "-o", "made"], 'expected a folder of phrase files, or a book file, got ""\n'),
        (["show", "RLRR", "extra"], "got unexpected extra argument"),
        (["render", "RLRR"], "missing option '--output' / '-o' (see drumgen render --help)\n"),
    ],
)
def test_other_dashes_and_slips_of_the_hand(arguments: list[str], said: str) -> None:
    code, out, errors = run_here(arguments)
    assert said in out + errors
    assert code == (0 if out else 2)


# -- help


def test_without_a_command_the_help_is_shown() -> None:
    _, out, _ = run_here(["--help"])
    code, _, errors = run_here([])
    assert code == 2
    assert errors.split() == out.rstrip().rstrip(".").split()


@pytest.mark.parametrize("arguments", [[], *([name] for name in COMMANDS)], ids=" ".join)
def test_help_is_plain_and_fits_eighty_columns(arguments: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    for option in ("--help", "-h"):
        code, out, errors = run_here([*arguments, option])
        assert (code, errors) == (0, "")
        assert out.startswith(" ".join(["Usage: drumgen", *arguments]))
        assert max(map(len, out.splitlines())) <= 80
        assert not re.search("[\x1b\u2500-\u257f]", out)


def test_the_help_names_every_command_with_its_line() -> None:
    words = " ".join(run_here(["--help"])[1].split())
    for name, line in COMMANDS.items():
        assert f"{name} {line}" in words


@pytest.mark.parametrize("name", COMMANDS)
def test_a_commands_line_agrees_with_its_own_help(name: str) -> None:
    first = (inspect.getdoc(import_module(f"drumgen.cli.{name}").command) or "").partition("\n")[0].rstrip(".")
    line = COMMANDS[name].rstrip(".")
    assert line.startswith(first) or first.startswith(line)


def test_every_command_is_a_module_and_no_module_of_a_command_is_forgotten() -> None:
    folder = Path(program.__file__).parent
    commands = {path.stem for path in folder.glob("*.py") if "\ndef command(" in path.read_text("utf-8")}
    assert set(COMMANDS) <= commands


def test_every_option_of_every_command_is_explained(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "200")
    for name in COMMANDS:
        options = run_here([name, "--help"])[1].partition("Options:\n")[2].splitlines()
        for line in options:
            assert re.fullmatch(r"  (-\w, )?--[a-z-]+( \S+)?  +\S.*|   +\S.*", line), (name, line)


def test_the_version() -> None:
    code, out, _ = run_here(["--version"])
    assert code == 0
    assert re.fullmatch(r"drumgen \d+\.\d+\.\d+\S*\n", out)


# -- the smaller commands


def test_the_schemas_are_json_and_of_what_was_asked() -> None:
    phrase = json.loads(run_here(["schema"])[1])
    assert phrase == json.loads(run_here(["schema", "phrase"])[1])
    assert {"phrase", "bars", "tempo"} <= set(phrase["properties"])
    kit = json.loads(run_here(["schema", "kit"])[1])
    assert "voices" in kit["properties"]
    assert run_here(["schema", "lesson"])[2] == 'expected phrase, kit or book, got "lesson"\n'


def test_rudiments_are_listed_and_found() -> None:
    _, out, _ = run_here(["rudiments"])
    assert [int(number) for number in re.findall(r"^ +(\d+) ", out, re.MULTILINE)] == list(range(1, 41))
    _, flams, _ = run_here(["rudiments", "flam", "tap"])
    assert re.findall(r"^ +\d+ (.+):", flams, re.MULTILINE) == ["Flam Tap", "Inverted Flam Tap"]
    assert run_here(["rudiments", "ropewalk"]) == (
        2,
        "",
        'expected words of a rudiment\'s name or family, got "ropewalk"\n',
    )


def test_kits_are_listed_and_shown() -> None:
    _, out, _ = run_here(["kits"])
    assert [line.partition(":")[0] for line in out.splitlines()] == sorted(
        ["general-midi", "four-piece", "five-piece", "left-handed", "practice-pad", "pedal-hihat"]
    )
    _, shown, _ = run_here(["kits", "general-midi"])
    assert re.search(r"^  kick +36 kick foot, drum", shown, re.MULTILINE)
    code, _, errors = run_here(["kits", "five-peace"])
    assert code == 2
    assert errors.endswith('got "five-peace" (nearest: "five-piece")\n')


@pytest.mark.parametrize(("width", "code"), [("39", 2), ("40", 0), ("500", 0), ("501", 2)])
def test_the_width_of_what_is_shown(width: str, code: int) -> None:
    got, out, errors = run_here(["show", "pier.toml", "--width", width])
    assert got == code
    if code:
        assert errors == f"expected --width from 40 to 500, got {width}\n"
    else:
        assert max(map(len, out.splitlines())) <= int(width)


def test_shown_at_eighty_columns_unless_told() -> None:
    assert max(map(len, run_here(["show", "pier.toml"])[1].splitlines())) <= 80


# -- what the system refuses is no bug of ours


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["new", "RLRR", "-o", "n" * 300 + ".toml"], "file name too long"),
        (["vary", "pier.toml", "-k", "2", "-o", "n" * 300], "cannot be used: file name too long"),
        (["book", "n" * 300, "-o", "out"], "file name too long"),
        (["vary", "pier.toml", "-k", "2", "-o", "pier.toml/x"], "pier.toml/x: cannot be used: not a directory"),
    ],
)
def test_what_the_system_refuses_is_said_in_a_line(typed: list[str], said: str) -> None:
    code, out, errors = run_here(typed)
    assert (code, out) == (2, "")
    assert errors.endswith(f"{said}\n")
    assert re.search(": cannot be (used|written|read): ", errors)  # Python asks later from 3.14 on
    assert errors.count("\n") == 1


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a device of Linux")
def test_a_full_disk_under_what_is_said_beside_the_result(tmp_path: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run([*PROGRAM, "render", "lR", "-o", "a.mid"], cwd=tmp_path, stderr=full, check=False)
        both = subprocess.run([*PROGRAM, "show", "RL"], stdout=full, stderr=full, check=False)
    assert (done.returncode, both.returncode) == (0, 2)
    assert (tmp_path / "a.mid").exists()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a device of Linux")
@pytest.mark.parametrize("typed", [["check", "pier.toml"], ["show", "RLRR"], ["kits"]])
def test_a_full_disk_under_what_is_printed(typed: list[str]) -> None:
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run([*PROGRAM, *typed], stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert (done.returncode, done.stderr) == (2, "the output cannot be written: no space left on device\n")
