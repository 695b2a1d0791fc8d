"""A backend of mido's whose ports are in this process, so that playing is tested where no port of a system is.

``mido.set_backend("port_backend")``, or MIDO_BACKEND in the environment of a process that finds this folder.
"""

from __future__ import annotations

import os
from typing import Any

from mido.ports import BaseOutput

NAMES = ["Through 14:0", "Drum Module 20:0", "Drum Pad 24:0"]
SENT: list[Any] = []
"""Every message that a port was given."""
OPEN: list[str] = []
"""The names of the ports that are open now."""


def get_devices(**_: object) -> list[dict[str, object]]:
    """The ports that there are: those of ``DRUM_PORTS`` in the environment, in lines, else ``NAMES``."""
    names = os.environ["DRUM_PORTS"].split("\n") if "DRUM_PORTS" in os.environ else NAMES
    return [{"name": name, "is_input": False, "is_output": True} for name in names if name]


class Output(BaseOutput):  # type: ignore[misc]
    """A port that keeps what it is sent."""

    def _open(self, **_: object) -> None:
        OPEN.append(self.name)

    def _send(self, message: Any) -> None:  # noqa: ANN401 - mido has no types
        SENT.append(message)

    def _close(self) -> None:
        OPEN.remove(self.name)
