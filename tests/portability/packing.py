"""The wheel and the sdist: what is in them, and that one comes of the other."""

from __future__ import annotations

import shutil
import sys
import tarfile
import zipfile
from pathlib import Path
from typing import Any

from trials import Failed, ran

ROOT = Path(__file__).resolve().parents[2]
LEFT_OUT = (".git", ".venv", ".*_cache", ".hypothesis", ".coverage*", ".benchmarks", "__pycache__", "dist")
KEPT_WITH_SOURCE = ("pyproject.toml", "README.md", "DEVELOPERS.md", "tests/run", ".ci/run", "demo/book.toml")


def frozen(folder: Path) -> Path:
    """A copy of the project as it is now: it may be worked on meanwhile."""
    source = folder / "source"
    shutil.copytree(ROOT, source, ignore=shutil.ignore_patterns(*LEFT_OUT))
    return source


def packed(source: Path, folder: Path) -> tuple[Path, str]:
    """The wheel, and what is to be said of it. Raises Failed where something is missing or the sdist builds another."""
    wheel = _built(source, folder / "from-source", "--wheel")
    sdist = _built(source, folder / "sdist", "--sdist")
    careful: dict[str, Any] = {"filter": "data"} if hasattr(tarfile, "data_filter") else {}  # from Python 3.11.4 on
    with tarfile.open(sdist) as archive:
        archive.extractall(folder / "unpacked", **careful)  # noqa: S202 - built here
    (unpacked,) = (folder / "unpacked").iterdir()
    again = _built(unpacked, folder / "from-sdist", "--wheel")
    package, kits = _files(source, "drumgen"), _files(source, "kits")
    in_wheel = set(zipfile.ZipFile(wheel).namelist())
    _check_holds(in_wheel, {*package, *(f"drumgen/{name}" for name in kits)}, what=wheel.name)
    _check_holds(_files(unpacked, "."), {*package, *kits, *KEPT_WITH_SOURCE}, what=sdist.name)
    if wheel.name != again.name or wheel.read_bytes() != again.read_bytes():
        raise Failed(f"the sdist builds another wheel: {_difference(wheel, again)}")
    return wheel, f"{len(in_wheel)} files in the wheel; the sdist builds the same, byte by byte"


def _built(source: Path, out: Path, kind: str) -> Path:
    """What is built of a source, without a network: the builder is the one that is installed here."""
    ran([sys.executable, "-m", "build", "--no-isolation", kind, "--outdir", out, source], folder=source)
    (path,) = out.iterdir()
    return path


def _files(root: Path, name: str) -> set[str]:
    """The files below a folder, by their paths from the root."""
    paths = (path for path in (root / name).rglob("*") if path.is_file() and "__pycache__" not in path.parts)
    return {path.relative_to(root).as_posix() for path in paths}


def _check_holds(found: set[str], wanted: set[str], *, what: str) -> None:
    if "drumgen/py.typed" not in wanted or not any(name.endswith(".js") for name in wanted):
        raise Failed("the types or the page are not in the source")
    if missing := wanted - found:
        raise Failed(f"not in {what}: {', '.join(sorted(missing))}")


def _difference(wheel: Path, again: Path) -> str:
    """The files that are not alike in two wheels."""
    one, other = ({name: file.read(name) for name in file.namelist()} for file in map(zipfile.ZipFile, (wheel, again)))
    return ", ".join(name for name in sorted({*one, *other}) if one.get(name) != other.get(name)) or "only its order"
