"""Dressed sizes of lumber and posts, in inches."""

from __future__ import annotations

from functools import cache
from typing import Final

# Dressed dry sizes, American Softwood Lumber Standard PS 20 (from memory; the deck tables assume them).
DRESSED_IN: Final[dict[int, float]] = {1: 0.75, 2: 1.5, 3: 2.5, 4: 3.5, 6: 5.5, 8: 7.25, 10: 9.25, 12: 11.25}
BY_DEPTH: Final = ("2x6", "2x8", "2x10", "2x12")
PLY_IN: Final = 1.5
# Heartwood the code counts as naturally durable (IRC R317.1, from memory), above ground only.
NATURALLY_DURABLE: Final = frozenset({"redwood", "western_cedar"})


@cache
def nominal(size: str) -> tuple[int, int]:
    """Return nominal thickness and depth, in.

    Source: the names of lumber sizes.

    >>> nominal("2x10")
    (2, 10)
    """
    thickness, depth = size.split("x")
    return int(thickness), int(depth)


def width_in(size: str) -> float:
    """Return the dressed thickness of one piece, in.

    Source: American Softwood Lumber Standard PS 20, dressed dry sizes, from memory.

    >>> width_in("2x10"), width_in("4x6"), width_in("6x6")
    (1.5, 3.5, 5.5)
    """
    return DRESSED_IN[nominal(size)[0]]


def depth_in(size: str) -> float:
    """Return the dressed depth of one piece, in.

    Source: American Softwood Lumber Standard PS 20, dressed dry sizes, from memory.

    >>> depth_in("2x10"), depth_in("8x8")
    (9.25, 7.25)
    """
    return DRESSED_IN[nominal(size)[1]]


def post_sides_in(size: str) -> tuple[float, float]:
    """Return the dressed sides of a post, the narrow one first, in; timbers of 5 in and up are dressed 1/2 in off.

    Source: American Softwood Lumber Standard PS 20, dressed dry sizes, from memory.

    >>> post_sides_in("4x6"), post_sides_in("6x6")
    ((3.5, 5.5), (5.5, 5.5))
    """
    narrow, wide = nominal(size)
    return narrow - 0.5, wide - 0.5


def post_side_in(size: str) -> float:
    """Return the narrow dressed side of a post, in.

    Source: as ``post_sides_in``.

    >>> post_side_in("4x4"), post_side_in("6x6"), post_side_in("8x8")
    (3.5, 5.5, 7.5)
    """
    return post_sides_in(size)[0]
