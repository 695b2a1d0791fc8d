"""The source runs on every system: what only some have stands beside a look at which system it is.

The names are those that Python's library reference marks "Availability: Unix", or not Windows. Mypy looks as well
(``python tests/portability/run.py``), by the marks of typeshed; this is quick, and knows paths and encodings too.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import drumgen

PACKAGE = Path(drumgen.__file__).parent
MODULES = sorted(PACKAGE.rglob("*.py"))

SOME_SYSTEMS_MODULES = {
    *("crypt", "curses", "fcntl", "grp", "nis", "posix", "pty", "pwd", "readline", "resource", "spwd", "syslog"),
    *("termios", "tty"),
    *("_winapi", "msvcrt", "nt", "winreg", "winsound"),
}
SOME_SYSTEMS_NAMES = {
    "os": {
        *("chown", "chroot", "confstr", "ctermid", "fchdir", "fchmod", "fchown", "fork", "forkpty", "fpathconf"),
        *("getegid", "geteuid", "getgid", "getgroups", "getloadavg", "getpgid", "getpgrp", "getpriority", "getsid"),
        *("getuid", "getxattr", "initgroups", "killpg", "lchmod", "lchown", "link", "listxattr", "lockf", "major"),
        *("makedev", "memfd_create", "minor", "mkfifo", "mknod", "nice", "openpty", "pathconf", "pidfd_open", "pipe2"),
        *(
            "posix_fadvise",
            "posix_fallocate",
            "posix_spawn",
            "pread",
            "preadv",
            "pwrite",
            "pwritev",
            "register_at_fork",
        ),
        *("sched_getaffinity", "sched_setaffinity", "sched_yield", "sendfile", "setegid", "seteuid", "setgid"),
        *("setgroups", "setpgid", "setpriority", "setsid", "setuid", "setxattr", "spawnvp", "startfile", "statvfs"),
        *("symlink", "sync", "sysconf", "tcgetpgrp", "ttyname", "uname", "wait", "wait3", "wait4", "waitid"),
        *("O_CLOEXEC", "O_DIRECT", "O_DIRECTORY", "O_NOATIME", "O_NOCTTY", "O_NOFOLLOW", "O_NONBLOCK", "O_PATH"),
        *("O_SYNC", "O_TMPFILE", "O_BINARY", "O_NOINHERIT", "WEXITSTATUS", "WIFEXITED", "WIFSIGNALED", "EX_OK"),
    },
    "signal": {
        *("SIGALRM", "SIGBUS", "SIGCHLD", "SIGCONT", "SIGHUP", "SIGKILL", "SIGPIPE", "SIGQUIT", "SIGSTOP", "SIGTSTP"),
        *("SIGUSR1", "SIGUSR2", "SIGWINCH", "alarm", "getitimer", "pause", "pthread_kill", "pthread_sigmask"),
        *("setitimer", "siginterrupt", "sigpending", "sigtimedwait", "sigwait", "CTRL_C_EVENT", "CTRL_BREAK_EVENT"),
    },
    "mmap": {"PROT_READ", "PROT_WRITE", "MAP_SHARED", "MAP_PRIVATE", "MAP_ANON"},
    "select": {"epoll", "kqueue", "poll"},
    "socket": {"AF_UNIX", "socketpair"},
    "time": {"clock_gettime", "clock_settime", "pthread_getcpuclockid", "tzset"},
}
"""By the module that they belong to."""
OF_PATHS = {"hardlink_to", "lchmod", "owner", "symlink_to"}
"""Methods of paths that only some systems have, or that need a right of their own."""
PLACES = ("/bin/", "/dev/", "/etc/", "/home/", "/proc/", "/root/", "/usr/", "/var/", "C:/", "C:\\")
OPENING = {"open", "read_text", "write_text", "fdopen", "NamedTemporaryFile"}
NO_FILES = {"webbrowser", "os", "mido", "wave", "Image"}
"""Their ``open`` opens no text."""
POSSESSIVE_GROUP = re.compile(r"\)(?:[*+?]|\{[\d,]*\})\+|\(\?>")
"""Python before 3.11.5 lets a group that is repeated possessively match wrongly where there is a choice inside it.

cpython's issue 106052, from memory; 3.11.2 finds no end of ``x = \"\"\"RLRR\"\"\"`` with such a pattern.
"""


def functions_of(tree: ast.Module) -> Iterator[tuple[ast.AST, bool]]:
    """Every node, with whether the function around it, or the module's head, looks at which system it is."""
    inner = [node for node in ast.walk(tree) if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef))]
    seen: set[int] = set()
    for function in sorted(inner, key=lambda node: node.lineno, reverse=True):
        nodes = [node for node in ast.walk(function) if id(node) not in seen]
        seen.update(map(id, nodes))
        yield from ((node, any(map(asks_for_the_system, nodes))) for node in nodes)
    yield from ((node, False) for node in ast.walk(tree) if id(node) not in seen)


def asks_for_the_system(node: ast.AST) -> bool:
    """``sys.platform``, ``os.name``, or whether a module has a name."""
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        return node.func.id == "hasattr"
    asked = isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and (node.value.id, node.attr)
    return asked in {("sys", "platform"), ("os", "name")}


def of_some_systems(node: ast.AST) -> Iterator[str]:
    """The names in a node that only some systems have."""
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names if alias.name.partition(".")[0] in SOME_SYSTEMS_MODULES)
    elif isinstance(node, ast.ImportFrom) and node.module:
        if node.module.partition(".")[0] in SOME_SYSTEMS_MODULES:
            yield node.module
        known = SOME_SYSTEMS_NAMES.get(node.module, set())
        yield from (f"{node.module}.{alias.name}" for alias in node.names if alias.name in known)
    elif isinstance(node, ast.Attribute):
        module = node.value.id if isinstance(node.value, ast.Name) else ""
        if node.attr in SOME_SYSTEMS_NAMES.get(module, set()):
            yield f"{module}.{node.attr}"
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in OF_PATHS:
        yield f".{node.func.attr}()"
    elif isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.startswith(PLACES):
        yield repr(node.value)


def found_in(text: str) -> list[str]:
    found = (name for node, guarded in functions_of(ast.parse(text)) if not guarded for name in of_some_systems(node))
    return sorted(found)


def opened_as_text(tree: ast.AST) -> Iterator[str]:
    """The calls that open a file as text in an encoding that is the system's."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        if name not in OPENING or has_encoding(node) or is_binary(node, name):
            continue
        yield f"line {node.lineno}: {ast.unparse(node)}"


def has_encoding(node: ast.Call) -> bool:
    return any(keyword.arg in ("encoding", None) for keyword in node.keywords)


def is_binary(node: ast.Call, name: str) -> bool:
    """Bytes are asked for, or something else than a file is opened: of the browser, a port, an image, the system."""
    if name in ("read_text", "write_text"):
        return False
    words = [*node.args, *(keyword.value for keyword in node.keywords if keyword.arg == "mode")]
    modes = [word.value for word in words if isinstance(word, ast.Constant) and isinstance(word.value, str)]
    owner = ast.unparse(node.func.value) if isinstance(node.func, ast.Attribute) else ""
    return any("b" in mode for mode in modes) or owner in NO_FILES


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_what_only_some_systems_have_is_guarded(path: Path) -> None:
    assert found_in(path.read_text("utf-8")) == []


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_texts_are_opened_in_an_encoding_of_their_own(path: Path) -> None:
    assert list(opened_as_text(ast.parse(path.read_text("utf-8")))) == []


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_no_pattern_repeats_a_group_possessively(path: Path) -> None:
    texts = (node.value for node in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(node, ast.Constant))
    assert [text for text in texts if isinstance(text, str) and POSSESSIVE_GROUP.search(text)] == []


@pytest.mark.parametrize("pattern", ["(?:a|b)*+", "(a)++", "(?:a){2,}+", "(?:ab?)?+", "(?>ab?)"])
def test_a_group_repeated_possessively_is_found(pattern: str) -> None:
    assert POSSESSIVE_GROUP.search(pattern)
    assert not POSSESSIVE_GROUP.search("(?:a++|b)*c*+[)]")


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("import fcntl", ["fcntl"]),
        ("from os import fork, path", ["os.fork"]),
        ("def f():\n    return os.geteuid()", ["os.geteuid"]),
        ("def f():\n    if sys.platform != 'win32':\n        return os.geteuid()", []),
        ("def f():\n    if hasattr(os, 'geteuid'):\n        return os.geteuid()", []),
        ("def f():\n    sys.platform\ndef g():\n    import resource", ["resource"]),
        ("signal.signal(signal.SIGHUP, end)", ["signal.SIGHUP"]),
        ("path.symlink_to(other)", [".symlink_to()"]),
        ("path.owner()", [".owner()"]),
        ("Path('/dev/null')", ["'/dev/null'"]),
    ],
)
def test_it_is_found(text: str, found: list[str]) -> None:
    assert found_in(text) == found


@pytest.mark.parametrize(
    ("call", "is_found"),
    [
        ("path.open()", True),
        ("open(name, 'w')", True),
        ("path.read_text()", True),
        ("path.write_text(words)", True),
        ("path.open('rb')", False),
        ("path.open(mode='wb')", False),
        ("open(name, encoding='utf-8')", False),
        ("webbrowser.open(address)", False),
    ],
)
def test_a_text_without_an_encoding_is_found(call: str, *, is_found: bool) -> None:
    assert bool(list(opened_as_text(ast.parse(call)))) == is_found
