"""The fuzzing campaign: ``python tests/fuzz/fuzzing.py [KINDS…] --count N --seed S --seconds T``.

Damaged files of each kind go through every command that reads them, and each must end as promised: ``holding`` says
how. Exit code 1 where something was found. ``--number N`` runs one case again and shows what it says.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1])]

from campaign import Campaign, case_of, run_campaign  # noqa: E402 - beside this file; what they use is above it
from seeding import KINDS  # noqa: E402 - as above


def main() -> int:
    """Run what is asked for and print what was found."""
    parser = argparse.ArgumentParser(description="Put damaged files through every command.")
    parser.add_argument("kinds", nargs="*", metavar="KINDS", help=f"of {', '.join(KINDS)}; all, unless said")
    parser.add_argument("--count", type=int, default=1000, help="cases of each kind")
    parser.add_argument("--first", type=int, default=0, help="the number of the first case")
    parser.add_argument("--seed", type=int, default=0, help="another seed is another campaign")
    parser.add_argument("--seconds", type=float, default=float("inf"), help="at most so long for each kind")
    parser.add_argument("--keep", type=Path, help="a folder for the files of what is found")
    parser.add_argument("--log", type=Path, help="a file that is told how far it is")
    parser.add_argument("--number", type=int, help="only this case, with all that is said")
    asked = parser.parse_args()
    if unknown := set(asked.kinds) - set(KINDS):
        parser.error(f"no kinds called {', '.join(sorted(unknown))}")
    found = 0
    for kind in asked.kinds or KINDS:
        campaign = Campaign(kind, asked.count, asked.seed, asked.first, asked.seconds, asked.keep, asked.log)
        if asked.number is not None:
            campaign.first, campaign.count = asked.number, 1
            case = case_of(campaign, asked.number)
            print(  # noqa: T201 - a command prints
                case.arguments,
                case.content.decode("utf-8", "replace") if case.name.endswith("toml") else case.name,
                sep="\n",
            )
        with tempfile.TemporaryDirectory(prefix="drumgen-fuzz-", dir=_quick_folder()) as folder:
            outcome = run_campaign(campaign, Path(folder))
        print(f"{kind}: {outcome}", flush=True)  # noqa: T201 - a command prints
        if asked.number is not None:
            print(*(said for kept in outcome.kept.values() for _, said in kept), sep="\n")  # noqa: T201 - a command prints
        found += outcome.findings.total()
    return min(found, 1)


def _quick_folder() -> str | None:
    """A folder in memory, where there is one: a million cases write several million files."""
    return "/dev/shm" if Path("/dev/shm").is_dir() else None  # noqa: S108 - a folder of its own is made in it


if __name__ == "__main__":
    sys.exit(main())
