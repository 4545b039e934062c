"""What this version does not frame at all."""

from __future__ import annotations

from service.choice.wishes.materials import MATERIALS, why_no_sections
from service.contract.spec import DeckSpec
from service.rules.price_book import PriceBook


def outside_scope(spec: DeckSpec, prices: PriceBook | None) -> tuple[str, ...]:
    """Return why a spec can't be framed by this version; empty where it can."""
    material = spec.framing.material
    if material not in MATERIALS:
        return ()
    return tuple(one.text for one in why_no_sections(prices, material))
