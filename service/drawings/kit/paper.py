"""Paper sizes, what is drawn where on a sheet, and scales."""

from __future__ import annotations

from typing import NamedTuple

from service.drawings.kit.ink import At, said
from service.drawings.kit.lettering import Box

_MARGIN_PT = 28.0  # printers leave a quarter inch white at least
_TITLE_PT = 66.0
_BETWEEN_PT = 8.0


class Paper(NamedTuple):
    """A sheet of paper lying on its long side, pt; ``side_pt`` is the width of the column for tables and notes."""

    name: str
    width_pt: float
    height_pt: float
    side_pt: float

    @property
    def frame(self) -> Box:
        """What lies within the margins."""
        return Box(_MARGIN_PT, _MARGIN_PT, self.width_pt - _MARGIN_PT, self.height_pt - _MARGIN_PT)

    @property
    def title(self) -> Box:
        """The strip at the bottom that says what the sheet is."""
        left, _, right, bottom = self.frame
        return Box(left, bottom - _TITLE_PT, right, bottom)

    @property
    def side(self) -> Box:
        """The column on the right with tables and notes."""
        _, top, right, _ = self.frame
        return Box(right - self.side_pt, top, right, self.title.top)

    @property
    def area(self) -> Box:
        """Where the drawing lies."""
        left, top, _, _ = self.frame
        bottom, right = self.title.top - _BETWEEN_PT, self.side.left - _BETWEEN_PT
        return Box(left + _BETWEEN_PT, top + _BETWEEN_PT, right, bottom)


PAPERS = {"letter": Paper("letter", 792.0, 612.0, 200.0), "tabloid": Paper("tabloid", 1224.0, 792.0, 290.0)}


class Scale(NamedTuple):
    """A scale as it is said, and how many points of paper are a foot."""

    text: str
    pt_per_ft: float


def _architect(inches: str, value: float) -> Scale:
    return Scale(f'{inches}" = 1\'-0"', 72.0 * value)


def _engineer(feet: int) -> Scale:
    return Scale(f'1" = {feet}\'-0"', 72.0 / feet)


# as they stand on an architect's and on an engineer's rule
SCALES = (
    _architect("3", 3), _architect("1 1/2", 1.5), _architect("1", 1), _architect("3/4", 0.75),
    _architect("1/2", 0.5), _architect("3/8", 0.375), _architect("1/4", 0.25), _architect("3/16", 0.1875),
    _architect("1/8", 0.125), _engineer(10), _engineer(20), _engineer(30), _engineer(40), _engineer(60),
    _engineer(100),
)  # fmt: skip


def scale_for(width_ft: float, height_ft: float, width_pt: float, height_pt: float) -> Scale:
    """Return the largest scale at which so many feet fit on so much paper; the smallest one where none does.

    >>> scale_for(16, 12, 440, 380).text
    '3/8" = 1\\'-0"'
    """
    fits = (s for s in SCALES if s.pt_per_ft * width_ft <= width_pt and s.pt_per_ft * height_ft <= height_pt)
    return next(fits, SCALES[-1])


class View(NamedTuple):
    """Where the origin of a drawing lies on paper and its scale; ``up`` is -1 where y grows upwards on paper."""

    scale: Scale
    origin: At
    up: float = 1.0

    def at(self, x_ft: float, y_ft: float) -> At:
        """Return the place on paper of a place in ft.

        >>> View(Scale("1:1", 9.0), (100, 50)).at(2, 1)
        (118.0, 59.0)
        """
        per_ft = self.scale.pt_per_ft
        return (self.origin[0] + x_ft * per_ft, self.origin[1] + self.up * y_ft * per_ft)

    def pt(self, length_in: float) -> float:
        """Return how long a length in inches is on paper, pt."""
        return length_in / 12 * self.scale.pt_per_ft

    @property
    def data(self) -> dict[str, str]:
        """What a reader of the file needs to turn places on paper back into feet."""
        return {
            "pt_per_ft": repr(self.scale.pt_per_ft),
            "origin_x_pt": said(self.origin[0]),
            "origin_y_pt": said(self.origin[1]),
            "up": said(self.up),
        }
