"""How a stair hangs from its level: with what hardware, and where the edge is no place for it."""

from __future__ import annotations

from service.contract.ids import item
from service.contract.report import Reason
from service.framing.stairs import StairLoad
from service.units.citation import own_convention


def stringer_hanger(coating: str) -> str:
    """Return the item code of the connector at a stringer's head. No unit.

    Source: IRC R507: members that butt another hang in an approved connector; common practice for stringers.

    Args:
        coating: fastener coating the place asks for.

    >>> stringer_hanger("hot_dip_galvanized")
    'stringer_connector.sloped.hot_dip_galvanized'
    """
    return item("stringer_connector", "sloped", coating)


def cantilever_reason(load: StairLoad, cantilever_in: float, beam_under_edge: bool) -> Reason | None:
    """Return why a stair on a cantilever needs an engineer; None with no cantilever (in) or a beam under it.

    Source: the cantilever tables carry deck load and 220 lb at one tip, not a stair; convention of this service.

    Args:
        load: the stair's reaction on the edge, lb.
        cantilever_in: joists past their last support at that edge, in.
        beam_under_edge: whether a beam stands under the edge itself.
    """
    if cantilever_in <= 0 or beam_under_edge or load.reaction_lb <= 0:
        return None
    text = f"{load.stair} puts {load.reaction_lb:.0f} lb on joists that hang {cantilever_in:g} in past their support"
    return Reason(
        code="stair_on_cantilever",
        text=text,
        member=load.stair,
        citation=own_convention("stair on a cantilever"),
    )
