"""Hypothesis looks for new examples on a developer's machine, and for the same ones each time where CI=true.

A run that is started in the background ignores Ctrl-C, and so would the programs that the tests break off by it. Where
Python is told to keep nothing back, programs would say at once what their users see only in the end.
"""

from __future__ import annotations

import os
import signal

from hypothesis import settings

settings.register_profile("exploring", deadline=None)
settings.register_profile("the same each time", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("the same each time" if os.environ.get("CI") == "true" else "exploring")

os.environ.pop("PYTHONUNBUFFERED", None)
signal.signal(signal.SIGINT, signal.default_int_handler)
