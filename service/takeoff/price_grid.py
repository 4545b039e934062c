"""The prices a number of boards can have: a cost between two of them is no plan's cost."""

from __future__ import annotations

import math
from collections.abc import Sequence

MOST_STEPS = 1 << 20  # beyond it only the common divisor of the prices is used


def next_price(least: int, prices: Sequence[int]) -> int:
    """Return the least sum of any number of these prices that is at least ``least``, all whole numbers.

    >>> next_price(11, [5, 7]), next_price(13, [5, 7]), next_price(0, [5, 7])
    (12, 14, 0)
    """
    step = math.gcd(*prices)
    steps = -(-least // step)
    if steps > MOST_STEPS:
        return steps * step
    above = _sums(steps + min(prices) // step, [price // step for price in prices]) >> steps
    return (steps + (above & -above).bit_length() - 1) * step


def _sums(most: int, prices: Sequence[int]) -> int:
    """Bit n is set when n up to ``most`` is a sum of prices; a price taken once, twice, four times more, doubles."""
    limit, sums = (1 << (most + 1)) - 1, 1
    for price in prices:
        shift = price
        while shift <= most:
            sums |= (sums << shift) & limit
            shift *= 2
    return sums
