"""What is known against the versions that are installed: pip-audit's answer, where the registry gives it."""

from __future__ import annotations

import json
import subprocess
from typing import TYPE_CHECKING

from environments import install, program
from trials import Failed, NotHere, environment

if TYPE_CHECKING:
    from pathlib import Path

AUDITOR = "pip-audit>=2.7"


def known(audited: Path, auditor: Path) -> str:
    """How many packages beside the Python ``audited`` nothing is known of; ``auditor`` is that of an empty environment.

    Raises Failed with what is known, and NotHere where nobody answers.
    """
    install(auditor, AUDITOR)
    (packages,) = audited.parent.parent.glob("[Ll]ib/**/site-packages")
    typed: list[str | Path] = [
        program(auditor, "pip-audit"),
        "--path",
        packages,
        "--format",
        "json",
        "--progress-spinner",
        "off",
    ]
    done = subprocess.run(typed, capture_output=True, text=True, env=environment(), check=False, timeout=600)
    try:
        found = json.loads(done.stdout)["dependencies"]
    except (ValueError, KeyError):
        reason = (done.stderr.strip().splitlines() or ["no answer"])[-1]
        raise NotHere(f"no advisories can be had: {reason[:160]}") from None
    bad = [f"{each['name']} {each['version']}: {fault['id']}" for each in found for fault in each.get("vulns", ())]
    if bad:
        raise Failed("\n".join(bad))
    asked = [each for each in found if "vulns" in each]
    if not asked:
        reason = next((each["skip_reason"] for each in found if "skip_reason" in each), "no answer")
        raise NotHere(f"no advisories can be had for {len(found)} packages: {reason}")
    return f"{len(asked)} packages asked of, nothing known"
