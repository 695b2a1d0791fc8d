"""The types of the arrays of this room, and their shapes. Full scale is 1."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Mono = NDArray[np.float32]
"""One channel: *(frame)*."""

Curve = NDArray[np.float32]
"""What changes with time, such as an envelope, a value a frame: *(frame)*; *(frame, 1)* where it is for both ears."""

Stereo = NDArray[np.float32]
"""Both ears, left and right: *(frame, ear)*."""

Whole = NDArray[np.int16]
"""Stereo in whole numbers of 16 bits, full scale 32 767: *(frame, ear)*."""

Energy = NDArray[np.float64]
"""The squares of all frames up to every eighth, summed up: *(eighth frame)*."""
