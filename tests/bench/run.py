"""The benchmarks: ``python tests/bench/run.py [ROWS…] [--rounds N]`` prints a table of ratios with their spread.

By both clocks, and beside each ratio the machine's own noise: the same thing measured against itself in the same run
(``measuring.py``). Under the table stands what each group of rows is. Each module of ``MODULES`` has ``rows(rounds)``;
another is added there, with how many rounds it is measured in. Exit code 1 where a ratio is over its bar.
"""

from __future__ import annotations

import argparse
import platform
import sys
from importlib import import_module

from measuring import table

MODULES = {"start_up": 30, "writing": 6, "audio": 6, "varying": 6, "transcribe": 5}


def main() -> int:
    """Measure what is asked for and print it."""
    parser = argparse.ArgumentParser(description="Print ratios of the product's times to those of plain programs.")
    parser.add_argument(
        "modules", nargs="*", metavar="ROWS", help=f"which rows: {', '.join(MODULES)}; all, unless said"
    )
    parser.add_argument("--rounds", type=int, metavar="N", help="how many rounds each is measured in")
    asked = parser.parse_args()
    unknown = set(asked.modules) - set(MODULES)
    if unknown:
        parser.error(f"no rows called {', '.join(sorted(unknown))}")
    found, notes = [], []
    for name in asked.modules or MODULES:
        sys.stderr.write(f"measuring {name}\n")
        module = import_module(name)
        found += module.rows(max(2, asked.rounds or MODULES[name]))
        notes.append(f"{name}: {module.__doc__}")
    sys.stdout.write(f"Python {platform.python_version()}, {platform.machine()}\n{table(found)}\n\n")
    sys.stdout.write("\n".join(notes))
    return 0 if all(row.verdict == "within" for row in found) else 1


if __name__ == "__main__":
    sys.exit(main())
