"""Other consoles: a locale of plain ASCII on a cp1252 console, and a Turkish one."""

from __future__ import annotations

import os
import shutil
from typing import TYPE_CHECKING

from trials import Failed, NotHere, environment, ran

if TYPE_CHECKING:
    from pathlib import Path

ASCII = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONIOENCODING": "cp1252"}
TURKISH = "tr_TR.UTF-8"
STARTS_IN_LOCALE = "import locale; locale.setlocale(locale.LC_ALL, ''); from drumgen.cli import run; run()"
"""The program inside one that has taken over the whole locale, decimal comma and all."""
_ASKED = "import locale; print(locale.setlocale(locale.LC_ALL, ''), locale.localeconv()['decimal_point'])"


def ascii_console() -> dict[str, str]:
    """The environment of a console with ASCII alone."""
    return environment(**ASCII)


def turkish_console(python: Path, folder: Path) -> dict[str, str]:
    """The environment of a Turkish console; its locale is built here where the system has none.

    Raises NotHere where that cannot be done.
    """
    env = environment(LC_ALL=TURKISH)
    if not _is_turkish(python, folder, env):
        env = environment(LC_ALL=TURKISH, LOCPATH=str(_built(folder)))
    if not _is_turkish(python, folder, env):
        raise NotHere(f"the locale {TURKISH} was built and does not work")
    return env


def _built(folder: Path) -> Path:
    """A folder of locales with the Turkish one in it."""
    if os.name == "nt" or shutil.which("localedef") is None:
        raise NotHere(f"there is no locale {TURKISH}, and no localedef to build it")
    locales = folder / "locales"
    locales.mkdir(exist_ok=True)
    try:
        ran(["localedef", "-i", "tr_TR", "-f", "UTF-8", locales / TURKISH], folder=folder)
    except Failed as error:
        raise NotHere(f"the locale {TURKISH} cannot be built: {str(error).splitlines()[-1]}") from None
    return locales


def _is_turkish(python: Path, folder: Path, env: dict[str, str]) -> bool:
    try:
        return ran([python, "-I", "-c", _ASKED], folder=folder, env=env).split() == [TURKISH, ","]
    except Failed:
        return False
