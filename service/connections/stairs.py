"""How a stair hangs from its level: who takes the header's reaction, and with what hardware."""

from __future__ import annotations

from dataclasses import dataclass

from service.contract.ids import item
from service.contract.report import Reason
from service.contract.report_frame import Stair
from service.framing.stairs import StairLoad
from service.units.citation import own_convention


@dataclass(frozen=True)
class StairHeader:
    """The member a stair hangs from, the load each stringer brings, and one hanger code for each stringer."""

    stair: str
    carried_by: str
    reaction_lb: float
    each_lb: float
    hangers: tuple[str, ...]


def stringer_hanger(coating: str) -> str:
    """Return the item code of the connector at a stringer's head. No unit.

    Source: IRC R507: members that butt another hang in an approved connector; common practice for stringers.

    Args:
        coating: fastener coating the place asks for.

    >>> stringer_hanger("hot_dip_galvanized")
    'stringer_connector.sloped.hot_dip_galvanized'
    """
    return item("stringer_connector", "sloped", coating)


def hang_stair(stair: Stair, load: StairLoad, carried_by: str, coating: str) -> StairHeader:
    """Return how a stair hangs from a member; reactions in lb.

    Source: statics: the header's reaction shared by the stringers alike.

    Args:
        stair: the stair.
        load: its reaction on the edge, lb.
        carried_by: id of the rim, joist or beam along that edge.
        coating: fastener coating the place asks for.
    """
    stringers = stair.flights[0].stringers
    each = load.reaction_lb / stringers if stringers else 0.0
    return StairHeader(stair.id, carried_by, load.reaction_lb, each, (stringer_hanger(coating),) * stringers)


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
