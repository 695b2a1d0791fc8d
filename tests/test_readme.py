"""README.md, block by block: what it prints is what a newcomer sees in an empty folder."""

from __future__ import annotations

import contextlib
import io
import re
import shlex
from pathlib import Path
from typing import TYPE_CHECKING

from drumgen.cli.boundary import main

if TYPE_CHECKING:
    import pytest

README = Path(__file__).resolve().parent.parent / "README.md"
BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def blocks() -> list[tuple[str, str]]:
    return [(match[1], match[2]) for match in BLOCK.finditer(README.read_text(encoding="utf-8"))]


def console_steps(text: str) -> list[tuple[str, str]]:
    """The commands of a console block, each with what it prints."""
    parts = re.split(r"^\$ (.*)\n", text, flags=re.MULTILINE)[1:]
    return list(zip(parts[::2], parts[1::2], strict=True))


def test_opens_with_one_paragraph_that_states_the_job() -> None:
    heading, job, following, *_ = README.read_text(encoding="utf-8").split("\n\n")
    assert heading == "# drumgen"
    assert job.startswith("drumgen turns a sticking")
    assert following.startswith("## ")


def test_every_block_does_what_it_shows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    shown: list[str] = []
    seen: list[str] = []
    for language, text in blocks():
        if language == "toml":
            name = text.splitlines()[0].removeprefix("# ")
            Path(name).write_text(text, encoding="utf-8")
        elif language == "console":
            for command, expected in console_steps(text):
                out = io.StringIO()
                with contextlib.redirect_stdout(out):
                    code = main(shlex.split(command)[1:])
                shown.append(f"{command}\n{expected}")
                seen.append(f"{command}\n{out.getvalue()}")
                assert code == 0, command
        elif language == "python":
            with contextlib.redirect_stdout(io.StringIO()):
                exec(compile(text, "README.md", "exec"), {})  # noqa: S102 - the README's own lines
    assert seen == shown
    assert Path("twice.mid").read_bytes()[:4] == b"MThd"


def test_the_setup_commands_are_the_ones_that_are_run_elsewhere() -> None:
    setup = [text.strip() for language, text in blocks() if language == "sh"]
    assert len(setup) == 2
    assert setup[1] == "python3 tests/run"
    assert "exec python3 tests/run" in (README.parent / ".ci" / "run").read_text(encoding="utf-8")


def test_its_two_pictures_are_there() -> None:
    pictures = re.findall(r"!\[[^]]+\]\(([^)]+\.png)\)", README.read_text(encoding="utf-8"))
    assert len(pictures) == 2
    for name in pictures:
        assert (README.parent / name).read_bytes().startswith(b"\x89PNG\r\n")
