"""Where joists stand along the house."""

from __future__ import annotations

import itertools
import math

JOIST_IN = 1.5
TOO_CLOSE_IN = 3.0


def joist_centres(width_in: float, spacing_in: float) -> tuple[float, ...]:
    """Return joist centre lines from the left edge, in: 0.75, s, 2s, ..., width - 0.75.

    A last line within 3 in of the end joist moves midway between its neighbours.

    >>> len(joist_centres(192, 16)), len(joist_centres(192, 12))
    (13, 17)
    >>> joist_centres(193, 16)[-2]
    184.125
    """
    count = math.ceil(width_in / spacing_in - 1e-9) + 1
    end = width_in - JOIST_IN / 2
    lines = [JOIST_IN / 2, *(spacing_in * k for k in range(1, count - 1)), end]
    if len(lines) > 2 and end - lines[-2] < TOO_CLOSE_IN:
        lines[-2] = (lines[-3] + end) / 2
    return tuple(lines)


def bays(centres_in: tuple[float, ...]) -> tuple[float, ...]:
    """Return the clear widths between neighbouring joists, in.

    >>> bays((0.75, 16.0, 32.0))
    (13.75, 14.5)
    """
    return tuple(b - a - JOIST_IN for a, b in itertools.pairwise(centres_in))
