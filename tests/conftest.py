"""Hypothesis looks for new examples on a developer's machine, and for the same ones each time where CI=true."""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("exploring", deadline=None)
settings.register_profile("the same each time", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("the same each time" if os.environ.get("CI") == "true" else "exploring")
