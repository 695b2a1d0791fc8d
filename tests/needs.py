"""What a test needs beside Python: where it is missing the test is skipped and says so; with CI=true it fails."""

from __future__ import annotations

import os
import sys
from typing import NoReturn

import pytest


def missing(what: str) -> NoReturn:
    """Say what is not here."""
    if os.environ.get("CI") == "true":
        pytest.fail(f"with CI=true nothing may be missing: {what}")
    pytest.skip(f"{what} is not installed")


def need(present: object, what: str) -> None:
    """Go on only where something is present."""
    if not present:
        missing(what)


def need_letters() -> None:
    """Go on only where files can be named in any letters: not in a locale of ASCII alone."""
    need(sys.getfilesystemencoding() == "utf-8", "a UTF-8 locale")
