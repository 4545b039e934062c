"""Rows of deck boards over an outline: how long each board runs, and which joists it crosses.

Worked in a frame of its own: ``p`` runs across the joists, ``q`` along them, inches. Boards lie along ``u``,
which is ``p`` turned by the decking's angle; rows follow one another along ``v``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

Corner = tuple[float, float]
# A row is as long as the outline is wide at its edges or its middle; just inside them, to miss the corners.
SAMPLES = (0.001, 0.5, 0.999)


class Row(NamedTuple):
    """One straight run of boards: its ends along ``u`` and the middle of its width along ``v``, in."""

    start_in: float
    end_in: float
    at_in: float

    @property
    def length_in(self) -> float:
        """Length of the run, in."""
        return self.end_in - self.start_in


@dataclass(frozen=True)
class Turn:
    """The turn between the joists' frame and the boards' frame."""

    angle_deg: float

    def boards(self, corner: Corner) -> Corner:
        """Return a point of the joists' frame in the boards' frame."""
        c, s = math.cos(math.radians(self.angle_deg)), math.sin(math.radians(self.angle_deg))
        return (corner[0] * c + corner[1] * s, corner[1] * c - corner[0] * s)

    def crossings_in(self, joists_in: Sequence[float], row: Row) -> tuple[float, ...]:
        """Return where a row crosses the joists, in from its start; none where it runs along them."""
        c, s = math.cos(math.radians(self.angle_deg)), math.sin(math.radians(self.angle_deg))
        if c < 1e-6:
            return ()
        found = ((p + row.at_in * s) / c - row.start_in for p in joists_in)
        return tuple(sorted(at for at in found if -1e-6 <= at <= row.length_in + 1e-6))


def rows(outline: Sequence[Corner], pitch_in: float) -> list[Row]:
    """Return the runs of boards that cover an outline, ``pitch_in`` apart, from its least ``v`` on.

    >>> [(r.length_in, r.at_in) for r in rows([(0, 0), (192, 0), (192, 11), (0, 11)], 5.5)]
    [(192.0, 2.75), (192.0, 8.25)]
    """
    low, high = min(v for _, v in outline), max(v for _, v in outline)
    count = math.ceil(round((high - low) / pitch_in, 6))
    return [row for n in range(count) for row in _row(outline, low + n * pitch_in, pitch_in, high)]


def _row(outline: Sequence[Corner], v_in: float, pitch_in: float, high_in: float) -> list[Row]:
    width = min(pitch_in, high_in - v_in)
    spans = [_spans(outline, v_in + width * share) for share in SAMPLES]
    if len({len(found) for found in spans}) == 1:
        merged = [(min(a for a, _ in same), max(b for _, b in same)) for same in zip(*spans, strict=True)]
    else:
        merged = [(min(a for a, _ in found), max(b for _, b in found)) for found in spans if found][:1]
    return [Row(float(a), float(b), v_in + width / 2) for a, b in merged]


def _spans(outline: Sequence[Corner], v_in: float) -> list[tuple[float, float]]:
    """Where a line of constant ``v`` is inside the outline."""
    cuts = []
    for (u1, v1), (u2, v2) in pairwise([*outline, outline[0]]):
        if (v1 <= v_in) != (v2 <= v_in):
            cuts.append(u1 + (v_in - v1) * (u2 - u1) / (v2 - v1))
    cuts.sort()
    return list(zip(cuts[::2], cuts[1::2], strict=True))
