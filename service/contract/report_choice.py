"""The answer types of the choice: how the best frame was found, other frames, and what preferences cost."""

from __future__ import annotations

import msgspec

from service.contract.money import Money
from service.contract.report_comparison import CodedText, Status


class ObjectiveCost(msgspec.Struct, frozen=True, kw_only=True):
    """What frames are compared by: only what differs from frame to frame, at list prices, piece by piece.

    ``lumber`` counts every piece at its share of the stock length that makes it cheapest; ``footings`` are the
    likely cost of the chosen method; ``labour`` is framing time at the crew's value, zero where none is given.
    ``complete`` is false where the price book has no price for some of it.
    """

    lumber: Money
    hardware: Money
    footings: Money
    labour: Money
    labour_hours: float
    total: Money
    complete: bool


class Search(msgspec.Struct, frozen=True, kw_only=True):
    """How the frame was found, level by level added up: the space, what stands in it, and whether it is proven best.

    ``frames`` is how many frames the space holds, ``standing`` how many pass the members' limits, ``worked_out`` how
    many were judged to the last check. ``proven`` says that no frame of the space is better by ``order``; where it
    is false ``why_not_proven`` says what was left open. ``cost`` is null without a price book.
    """

    frames: int
    standing: int
    worked_out: int
    proven: bool
    why_not_proven: str | None
    order: tuple[str, ...]
    cost: ObjectiveCost | None
    deflection_in: float | None
    head_room_in: float | None


class Alternative(msgspec.Struct, frozen=True, kw_only=True):
    """Another frame, what is different about it, and what it gives up against the one answered.

    ``cost`` is the whole deck's, order and footings; ``cost_change`` is what it costs more by the cost frames are
    compared by, less is negative. ``head_room_in`` is from the ground to the lowest beam.
    """

    summary: str
    differences: tuple[str, ...]
    verdict: Status
    footing_count: int
    cost: Money | None
    days: float | None
    deflection_in: float | None
    head_room_in: float | None = None
    cost_change: Money | None = None
    gives_up: tuple[str, ...] = ()
    gains: tuple[str, ...] = ()
    because: str = ""


class PreferenceCost(msgspec.Struct, frozen=True, kw_only=True):
    """What one wish changes against the frame answered: every figure is a difference, less is negative.

    ``preference`` is a word, ``value`` what is wished by it. ``already`` says that the answered frame has it. Figures
    are null, and ``why_not`` says why, where no frame with it stands.
    """

    preference: str
    value: str
    text: str
    already: bool
    verdict: Status | None
    cost: Money | None
    footing_count: int | None
    days: float | None
    deflection_in: float | None
    head_room_in: float | None
    summary: str | None
    why_not: tuple[CodedText, ...] = ()
