"""The bolts that hold a brace to its post and to the beam or joist above."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from service.contract.ids import item
from service.contract.report_frame import Beam
from service.sizing.calculated_braces import bolt_diameter_in, bolt_value, most_bolts
from service.sizing.calculated_result import Allowable
from service.sizing.lumber import PLY_IN, nominal, post_side_in, width_in
from service.timber.refusal import NoRule
from service.timber.values import TimberData
from service.units.finding import SLACK

LEAST_BOLTS: Final = 2  # common practice, no source: one bolt lets the brace turn
NUT_IN: Final = 0.75  # two washers, nut and a little thread, common practice
LENGTHS_IN: Final = (4, 6, 8, 10)  # what yards keep, common practice
POST_LESS_IN: Final = 0.5  # posts are dressed 1/2 in off their nominal sides
NAMES: Final = {0.5: "1-2in", 0.375: "3-8in"}


@dataclass(frozen=True)
class BraceEnds:
    """What a brace is bolted to: thickness of brace, of post and of what it meets above, in, and the bolt, in.

    ``through_in`` is the wider side of the post, which a bolt may have to go through.
    """

    size: str
    brace_in: float
    post_in: float
    through_in: float
    upper_in: float
    diameter_in: float


def brace_ends(size: str, post_size: str, beam: Beam, direction: str) -> BraceEnds | NoRule:
    """Return what a brace is bolted to, in; across the beam that is a joist or a block, not the beam.

    Source: geometry: the brace lies flat on post and beam, furred out where their faces are not flush (common
    practice, no source).

    Args:
        size: nominal size of the brace.
        post_size: nominal size of the post.
        beam: the beam over the post.
        direction: ``along_beam`` or ``across_beam``.
    """
    diameter = bolt_diameter_in(post_size)
    if isinstance(diameter, NoRule):
        return diameter
    upper = PLY_IN if direction == "across_beam" else width_in(beam.size) * beam.plies
    return BraceEnds(size, width_in(size), post_side_in(post_size), _wide_in(post_size), upper, diameter)


def _wide_in(post_size: str) -> float:
    return nominal(post_size)[1] - POST_LESS_IN


def weaker_bolt(data: TimberData, species: str, ends: BraceEnds) -> Allowable | NoRule:
    """Return what one bolt carries at the weaker end of a brace, lb.

    Source: NDS 12.3 as `bolt_value`.

    Args:
        data: design values and factors.
        species: species or group.
        ends: what the brace is bolted to.
    """
    found = [
        bolt_value(data, species, ends.diameter_in, ends.brace_in, main)
        for main in (ends.post_in, ends.upper_in)
    ]
    refused = next((one for one in found if isinstance(one, NoRule)), None)
    return refused or min((one for one in found if isinstance(one, Allowable)), key=lambda one: one.value)


def bolts_for(force_lb: float, bolt_lb: float, ends: BraceEnds) -> int:
    """Return how many bolts each end of a brace takes: two or more, and no more than fit.

    Source: two at least is common practice, no source; NDS 12.5.1 for how many fit.

    Args:
        force_lb: force along the brace, lb.
        bolt_lb: load of one bolt, lb.
        ends: what the brace is bolted to.

    >>> ends = BraceEnds("2x6", 1.5, 5.5, 5.5, 3.0, 0.5)
    >>> bolts_for(100.0, 350.0, ends), bolts_for(900.0, 350.0, ends), bolts_for(5000.0, 350.0, ends)
    (2, 3, 3)
    """
    needed = math.ceil(force_lb / bolt_lb - SLACK)
    return max(LEAST_BOLTS, min(needed, most_bolts(ends.size, ends.diameter_in)))


def bolt_length_in(through_in: float) -> int:
    """Return the shortest bolt of the usual lengths that goes through with washers and nut, in.

    Source: common practice, no source.

    Args:
        through_in: wood it goes through, in.

    >>> bolt_length_in(3.0), bolt_length_in(4.5), bolt_length_in(7.0)
    (4, 6, 8)
    """
    return next((one for one in LENGTHS_IN if one >= through_in + NUT_IN), LENGTHS_IN[-1])


def brace_hardware(ends: BraceEnds, bolts: int, coating: str) -> tuple[str, ...]:
    """Return the item codes of one brace, one a piece: bolts of both ends (lengths in in), two washers each.

    Source: the bolts counted by `bolts_for`; washers on wood at both ends, common practice.

    Args:
        ends: what the brace is bolted to.
        bolts: bolts at each end.
        coating: fastener coating the place asks for.

    >>> brace_hardware(BraceEnds("2x6", 1.5, 5.5, 5.5, 3.0, 0.5), 2, "stainless_steel")[::2][:2]
    ('bolt.1-2in.8in.stainless_steel', 'bolt.1-2in.6in.stainless_steel')
    """
    name = NAMES[ends.diameter_in]
    lower, upper = (
        item("bolt", name, f"{bolt_length_in(ends.brace_in + other)}in", coating)
        for other in (ends.through_in, ends.upper_in)
    )
    return (lower,) * bolts + (upper,) * bolts + (item("washer", name, coating),) * (4 * bolts)
