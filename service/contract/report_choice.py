"""The answer types of the choice: how the best frame was found, other frames, and what preferences cost."""

from __future__ import annotations

import msgspec

from service.contract.money import Money
from service.contract.report_comparison import CodedText, Status


class ObjectiveCost(msgspec.Struct, frozen=True, kw_only=True):
    """What frames are compared by: only what differs from frame to frame, at list prices, piece by piece.

    ``lumber`` counts every piece at its share of the stock length that makes it cheapest; ``footings`` are the
    likely cost of the chosen method under the whole deck, stairs and heavy objects too; ``labour`` is framing time at
    the crew's value, zero where none is given. Boards, guards, stairs, blocking, braces and nails are not in it, nor
    what whole boards and full boxes of an order come to. ``complete`` is false where the price book has no price for
    some of it. Of a deck in another material it is that of the frame of sawn lumber.

    All money told of other frames is the difference of ``total``: posting one back pinned gives it again, to the
    cent. Only another species or grade of lumber is told by both orders, since every board of the deck is another.
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
    is false ``why_not_proven`` says what was left open. ``cost`` is null without a price book. ``left_aside`` is what
    the space leaves out unless the spec asks for it, though it may cost less. ``deflection_in`` is that of joists and
    beams between their supports; cantilevered ends and what a heavy object adds are not in it. It is null where the
    deck is answered in another material.
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
    left_aside: tuple[str, ...] = ()


class Alternative(msgspec.Struct, frozen=True, kw_only=True):
    """Another frame, what is different about it, and what it gives up against the one answered.

    ``cost_change`` is what it costs more by what frames are compared by (``search.cost``), less is negative; ``cost``
    is the whole deck's: order and footings of the frame answered, and ``cost_change``. An order of its own would come
    to a little more or less, by whole boards and full boxes. ``deflection_in`` is counted as in ``search``,
    ``head_room_in`` is from the ground to the lowest beam. Of a deck answered in another material it is a frame of
    sawn lumber.
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
    are null, and ``why_not`` says why, where no frame with it stands, or where the deck has too many to look into.
    ``proven`` says that no frame with it is better by what the answer is chosen by; where it is false one may cost
    less than told.

    ``cost`` is counted by what frames are compared by (``search.cost``); for another species or grade by both orders,
    and framing time. ``differences`` are all that is different about the frame, wished or not. ``deflection_in`` is
    counted as in ``search``. Of a deck answered in another material the wish is of sawn lumber, and says so.
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
    proven: bool = False
    why_not: tuple[CodedText, ...] = ()
    differences: tuple[str, ...] = ()


class MaterialMember(msgspec.Struct, frozen=True, kw_only=True):
    """A member of sawn lumber and the section that would carry the same, of one depth with it.

    Spans are those of a simple member under its load, both by calculation, nothing rounded: a member whose ends run
    past its supports is relieved by them, and may pass its checks over a longer span. ``ratio`` is how far the section
    is used by ``governing``, the check nearest its limit. Prices are those of a foot of the member, all plies,
    cut from the lengths that come cheapest.
    """

    member: str
    sawn: str
    section: str
    plies: int
    item: str
    span_in: float
    sawn_span_in: float | None
    span_ratio: float | None
    price_per_ft: Money | None
    sawn_price_per_ft: Money | None
    price_ratio: float | None
    governing: str
    ratio: float


class FastenerChange(msgspec.Struct, frozen=True, kw_only=True):
    """What changes in fasteners, and how well that is known: a citation's status."""

    part: str
    text: str
    status: str


class MaterialOption(msgspec.Struct, frozen=True, kw_only=True):
    """The answered frame with the joists and beams a supplier has sections for in place of sawn ones.

    Sizes and places stay those of the frame of sawn lumber. ``already`` says that this is the material answered.
    ``verdict`` is ``engineer_required``, or ``not_permitted`` where the frame of sawn lumber is; null, with
    ``why_not``, where no member can be of the material.
    ``cost_change`` is against the frame of treated sawn lumber: its joists, beams, and their metal, at list prices,
    piece by piece. ``stays_sawn`` names joists and beams that no section takes the place of.
    """

    material: str
    already: bool
    verdict: Status | None
    members: tuple[MaterialMember, ...]
    stays_sawn: tuple[str, ...]
    span_ratio: float | None
    price_ratio: float | None
    cost_change: Money | None
    fasteners: tuple[FastenerChange, ...]
    cautions: tuple[CodedText, ...]
    why_not: tuple[CodedText, ...]
