"""The direction of the rooms, read from the imports themselves, and what a command may load.

A room may import from itself, from the rooms below it, and from no other: so a change in a room can only be felt
above it. Imports for types alone count too.
"""

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import drumgen

PACKAGE = Path(drumgen.__file__).parent
MODULES = sorted(PACKAGE.rglob("*.py"))
FOLDERS = ("trade", "spec", "midi", "audio", "sheet", "page", "study", "binding", "cli")

# What every module at the package's top is, from the bottom up.
ROOTS = {"errors", "note_values", "amounts"}
WORDS = {"sticking", "meter", "counts", "levels", "subdivision", "tempo", "feel", "syllables"}
DESCRIBED = {"kit", "orchestration", "bar", "phrase", "practice", "clicks", "spans", "ornaments", "filling", "layout"}
DESCRIBED |= {"book"}
PLANNED = {"plan", "rounds", "coming_round", "strokes", "survey", "bar_text"}
PERFORMED = {"performing", "performance", "take", "notes", "spread", "ticks", "tempo_map"}
COMPOSING = {"composing", "audition", "assessment_picture", "assessment_rows", "file_names", "saving"}

# A room, and the rooms it may import from beside itself.
WRITTEN = {"roots", "words", "trade", "described", "planned"}
BELOW = {
    "roots": set(),
    "trade": {"roots", "words"},  # tables of what the words name
    "words": {"roots"},
    "described": {"roots", "words", "trade"},
    "planned": {"roots", "words", "trade", "described"},
    "spec": WRITTEN,
    "performed": WRITTEN,
    "midi": {*WRITTEN, "performed"},
    "audio": {*WRITTEN, "performed"},
    "sheet": WRITTEN,  # paper knows no milliseconds and no ticks
    "page": {*WRITTEN, "performed"},
    "study": {*WRITTEN, "performed", "spec"},  # it gives phrases back as the files a person would have written
    "composing": {*WRITTEN, "performed", "spec", "midi", "audio", "sheet", "page", "study"},
}
BELOW["binding"] = {*WRITTEN, "performed", "spec", "audio", "composing"}  # a book: all rooms, by the composing one
BELOW["package"] = {*BELOW}
BELOW["cli"] = {*BELOW}

GROUPS = {
    "roots": ROOTS,
    "words": WORDS,
    "described": DESCRIBED,
    "planned": PLANNED,
    "performed": PERFORMED,
    "composing": COMPOSING,
}
LIBRARIES = {"mido": {"midi"}, "numpy": {"audio", "study"}}
READS_AND_WRITES = {"open", "read_bytes", "read_text", "write_bytes", "write_text", "mkstemp", "NamedTemporaryFile"}
TOUCHES_THE_DISK = {"cli", "spec", "composing", "binding"}
READS_ITSELF = {
    "drumgen.audio.soundfont",  # hundreds of megabytes, read in pieces where they are understood
    "drumgen.sheet.glyphs",  # the outlines inside the verovio package
}
HEAVY = ("numpy", "pretty_midi", "soundfile", "rich", "verovio", "music21")


def name_of(path: Path) -> str:
    inside = path.relative_to(PACKAGE.parent).with_suffix("")
    return ".".join(inside.parts).removesuffix(".__init__")


def room_of(module: str) -> str:
    """The room of a module of the package, by its dotted name."""
    steps = module.split(".")[1:]
    if not steps:
        return "package"
    if steps[0] in FOLDERS:
        return steps[0]
    found = [room for room, names in GROUPS.items() if steps[0] in names]
    assert len(found) == 1, f"{module} has no room: name it in this test, beside its like"
    return found[0]


def imports_of(path: Path, *, head_only: bool = False) -> Iterator[str]:
    """Every module that a file imports, by its dotted name; ``head_only``: those of the module's head at run time."""
    tree = ast.parse(path.read_text("utf-8"))
    nodes: Iterator[ast.AST] = _head(tree) if head_only else ast.walk(tree)
    for node in nodes:
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert not node.level, f"{name_of(path)} imports by dots"
            yield from (_imported(node.module or "", alias.name) for alias in node.names)


def _imported(module: str, name: str) -> str:
    """The module that ``from module import name`` loads: ``module.name`` where that is one of ours."""
    inner = PACKAGE.parent.joinpath(*module.split("."), name)
    return f"{module}.{name}" if inner.with_suffix(".py").exists() or inner.is_dir() else module


def _head(tree: ast.AST) -> Iterator[ast.AST]:
    """The nodes that run when a module is imported: not those in functions, nor those for types alone."""
    for node in ast.iter_child_nodes(tree):
        is_for_types = isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test)
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda)) or is_for_types:
            continue
        yield node
        yield from _head(node)


def top_of(module: str) -> str:
    return module.partition(".")[0]


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_a_room_imports_only_from_those_below_it(path: Path) -> None:
    room = room_of(name_of(path))
    wrong = {
        imported
        for imported in imports_of(path)
        if top_of(imported) == "drumgen" and room_of(imported) not in {room, "package", *BELOW[room]}
    }
    assert not wrong, f"{room} may not import {sorted(wrong)}"


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_nobody_imports_the_command_line(path: Path) -> None:
    if room_of(name_of(path)) != "cli":
        assert not [each for each in imports_of(path) if each == "drumgen.cli" or each.startswith("drumgen.cli.")]


def test_the_rooms_of_the_formats_do_not_know_each_other() -> None:
    formats = {"midi", "audio", "sheet", "page"}
    assert not any(BELOW[room] & formats for room in formats)


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_a_library_is_imported_only_in_its_room(path: Path) -> None:
    room = room_of(name_of(path))
    for imported in imports_of(path, head_only=True):
        assert room in LIBRARIES.get(top_of(imported), {room}), f"{imported} at the head of a module of {room}"
    for imported in imports_of(path):
        assert top_of(imported) != "mido" or room == "midi"


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_only_some_rooms_touch_the_disk(path: Path) -> None:
    if room_of(name_of(path)) in TOUCHES_THE_DISK or name_of(path) in READS_ITSELF:
        return
    calls = [node for node in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(node, ast.Call)]
    names = {_called(node) for node in calls}
    assert not names & READS_AND_WRITES, f"{sorted(names & READS_AND_WRITES)} belong to cli, spec, binding or saving"


def _called(node: ast.Call) -> str:
    if isinstance(node.func, ast.Name):
        return node.func.id
    if not isinstance(node.func, ast.Attribute):
        return ""
    of_a_stream = isinstance(node.func.value, ast.Name) and node.func.value.id == "wave"  # it is given an open file
    return "" if of_a_stream else node.func.attr


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_a_module_is_one_thing_of_a_readable_length(path: Path) -> None:
    assert path.stem not in {"utils", "util", "helpers", "common", "core", "models", "manager", "misc"}
    text = path.read_text("utf-8")
    lines = text.count("\n")
    assert lines <= 300
    assert ast.get_docstring(ast.parse(text))


@pytest.mark.parametrize("room", ["study", "sheet"])
def test_the_head_of_a_large_room_names_its_modules(room: str) -> None:
    """By their names, or, of a family, by what follows its own."""
    text = ast.get_docstring(ast.parse((PACKAGE / room / "__init__.py").read_text("utf-8"))) or ""
    words = set(re.findall(r"\w+", text))
    stems = {path.stem for path in (PACKAGE / room).glob("*.py")} - {"__init__"}
    assert not {stem for stem in stems if stem not in words and stem.partition("_")[2] not in words}


def test_every_name_of_this_map_is_a_module() -> None:
    tops = {path.stem for path in PACKAGE.glob("*.py")} - {"__init__", "__main__"}
    assert set().union(*GROUPS.values()) == tops


# -- what a command loads

LISTING = """
import sys
from drumgen.cli.boundary import main
code = main(sys.argv[1:])
print(*sorted(sys.modules), sep="\\n", file=sys.stderr)
sys.exit(code)
"""


def loaded_by(folder: Path, *arguments: str) -> set[str]:
    """The modules that a command line has loaded at its end."""
    typed = [sys.executable, "-c", LISTING, *arguments]
    done = subprocess.run(typed, cwd=folder, capture_output=True, text=True, encoding="utf-8", check=True)
    return set(done.stderr.split())


def test_help_loads_nothing_of_the_trade(tmp_path: Path) -> None:
    loaded = loaded_by(tmp_path, "--help")
    assert "typer" in loaded
    assert not {top_of(name) for name in loaded} & {*HEAVY, "mido", "tomllib", "pydantic"}
    assert "drumgen.spec" not in loaded
    assert not [name for name in loaded if name.startswith(("drumgen.spec", "drumgen.midi", "drumgen.cli.render"))]


PHRASE = 'phrase = ["a"]\n[bars.a]\nsticking = "RLRR LRLL"\n'
COMMANDS = [["show", "x.toml"], ["check", "x.toml"], ["render", "x.toml", "-o", "x.mid"], ["show", "paradiddle"]]


@pytest.mark.parametrize("arguments", COMMANDS, ids=lambda arguments: "-".join(arguments[:2]))
def test_a_command_loads_nothing_heavy(tmp_path: Path, arguments: list[str]) -> None:
    (tmp_path / "x.toml").write_text(PHRASE)
    loaded = loaded_by(tmp_path, *arguments)
    assert "drumgen.spec.loading" in loaded
    assert ("mido" in loaded) == (arguments[0] == "render")
    assert not {top_of(name) for name in loaded} & set(HEAVY)


def test_importing_the_package_is_light(tmp_path: Path) -> None:
    code = "import sys, drumgen; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert not {top_of(name) for name in done.stdout.split()} & {*HEAVY, "mido", "pydantic", "typer"}
