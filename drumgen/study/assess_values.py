"""An assessment as plain values, for JSON.

What is worked out in floating point is told to the microsecond, the unit that MIDI counts tempo in, and ratios to a
billionth, which is under a tenth of a millisecond in a day: a take that is exact is told as exact. When a stroke is
meant, and when one was added, is as exact as the files are.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from drumgen.study.assess_figures import (
    bar_timings,
    by_limb,
    by_voice,
    evenness_ms,
    loudness,
    turn_limbs,
    turn_timings,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

    from drumgen.study.assess import Assessment, PlayedStroke
    from drumgen.study.assess_figures import Timing

_DECIMALS_S, _DECIMALS_MS, _DECIMALS_BPM, _DECIMALS_RATIO = 6, 3, 6, 9


def plain(found: Assessment) -> dict[str, Any]:
    """The whole as plain values."""
    even_ms = evenness_ms([each for each in found.struck if each.meant.limb in ("R", "L")])
    return {
        "start_s": _rounded(found.alignment.start_s, _DECIMALS_S),
        "stretch": _rounded(found.alignment.stretch, _DECIMALS_RATIO),
        "tempo": dict(
            zip(
                ("written", "mean", "first_quarter", "last_quarter"),
                (_rounded(tempo, _DECIMALS_BPM) for tempo in found.tempos),
                strict=True,
            )
        ),
        "drift_ms": _rounded(found.drift_ms, _DECIMALS_MS),
        "times_through": found.turns,
        "limbs": _timings(by_limb(found)),
        "voices": _timings(by_voice(found)),
        "evenness_ms": None if even_ms is None else _rounded(even_ms, _DECIMALS_MS),
        "velocities": loudness(found),
        "bars": {str(bar): {**_timing(row), "faults": n} for bar, (row, n) in bar_timings(found).items()},
        "turns": [
            {**_timing(row), "faults": n, "limbs": _timings(limbs)}
            for (row, n), limbs in zip(turn_timings(found), turn_limbs(found), strict=True)
        ],
        "strokes": [_stroke(each) for each in found.strokes],
        "added": [each._asdict() for each in found.added],
    }


def _timings(rows: Mapping[str, Timing]) -> dict[str, Any]:
    return {name: _timing(row) for name, row in rows.items()}


def _timing(row: Timing) -> dict[str, Any]:
    return {
        "strokes": row.strokes,
        "mean_ms": _rounded(row.mean_ms, _DECIMALS_MS),
        "spread_ms": _rounded(row.spread_ms, _DECIMALS_MS),
    }


def _stroke(stroke: PlayedStroke) -> dict[str, Any]:
    off_ms = None if stroke.off_ms is None else _rounded(stroke.off_ms, _DECIMALS_MS)
    return {**stroke.meant._asdict(), "off_ms": off_ms, "velocity": stroke.velocity, "played": stroke.played}


def _rounded(value: float, decimals: int) -> float:
    """A value to so many decimals; nothing is never below 0."""
    return round(value, decimals) + 0.0
