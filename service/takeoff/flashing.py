"""Flashing over a ledger and tape behind it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from service.contract.ids import item
from service.framing.frame import Frame
from service.takeoff.ladders import Ladders
from service.takeoff.needs import Need
from service.takeoff.parts import INCHES_PER_FT, Part, distance_in
from service.takeoff.pricing import for_sale

PROFILE = "2x4in"  # upstand behind the cladding and reach past the ledger's face, IRC 2024 R507.9.1.5
LAP_IN = 4.0  # common practice
TAPE = item("flashing_tape", "4in", "butyl")
USUAL_ROLL_FT = 50  # common practice


def flashing_item(coating: str) -> str:
    """Return the item of the flashing over a ledger.

    >>> flashing_item("stainless_steel")
    'ledger_flashing.2x4in.stainless_steel'
    """
    return item("ledger_flashing", PROFILE, coating)


def flashing_parts(frame: Frame, ladders: Ladders, coating: str) -> Iterator[Part]:
    """Yield the flashing over each ledger, in stock lengths that lap."""
    code = flashing_item(coating)
    for level in frame.levels:
        for ledger in level.ledgers:
            for length in lapped(distance_in(ledger.start_ft, ledger.end_ft), ladders.longest_in(code)):
                yield Part(code, length, ledger.id)


def lapped(length_in: float, longest_in: float) -> list[float]:
    """Return the pieces of a run whose neighbours lap.

    >>> lapped(192, 120), lapped(100, 120)
    ([120, 76.0], [100])
    """
    pieces = []
    left = length_in
    while left > longest_in:
        pieces.append(longest_in)
        left -= longest_in - LAP_IN
    return [*pieces, left]


def tape(frame: Frame, ladders: Ladders) -> Iterator[Need]:
    """Yield the rolls of tape behind the ledgers; a price book's pack quantity is the feet on a roll."""
    runs = [(one.id, distance_in(one.start_ft, one.end_ft)) for lv in frame.levels for one in lv.ledgers]
    lines = for_sale(ladders.prices, TAPE)
    packed = bool(lines and lines[0].pack_quantity)
    for member, length in runs:
        feet = length / INCHES_PER_FT
        # Without a roll length the need is in rolls of the usual length, to be summed as fractions of one.
        yield Need(TAPE, math.ceil(feet) if packed else feet / USUAL_ROLL_FT, member, "roll")
