"""How a stair hangs from its level: with what hardware."""

from __future__ import annotations

from service.contract.ids import item


def stringer_hanger(coating: str) -> str:
    """Return the item code of the connector at a stringer's head. No unit.

    Source: IRC R507: members that butt another hang in an approved connector; common practice for stringers.

    Args:
        coating: fastener coating the place asks for.

    >>> stringer_hanger("hot_dip_galvanized")
    'stringer_connector.sloped.hot_dip_galvanized'
    """
    return item("stringer_connector", "sloped", coating)
