"""The types of the numpy arrays of this room, and their shape.

An array is one row: a value for each stroke, event or beat, in order of time. Rows that stand beside each other in one
value have the same length; a number that points into a row counts from 0. Where an array has more than one axis its
docstring names them in order, as in *(event, hand)*.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Numbers = npt.NDArray[np.float64]
"""Measures: seconds, beats, costs, chances."""

Wholes = npt.NDArray[np.int64]
"""What is counted or is exact: grains, places in another row, velocities, numbers of voices and hands."""

Flags = npt.NDArray[np.bool_]
"""What holds of each, or does not; also as a choice from another row."""
