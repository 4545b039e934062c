"""Example requests shown in the document; a test posts each of them."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from typing import Any

Example = tuple[str, str, dict[str, Any]]

_SMALLEST: Example = (
    "smallest",
    "The least a spec can say",
    {
        "jurisdiction": "alder-county",
        "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 34}],
    },
)
_RISE: Example = (
    "rise",
    "A stair for a rise",
    {"total_rise_in": 34, "width_in": 48, "rulebook": "irc-2021"},
)
_BUILT: Example = ("built", "The risers of a built stair", {"risers_in": [7.25, 7.25, 7.75]})


@cache
def bundled_deck() -> dict[str, Any]:
    """Return the example deck that comes with the service."""
    found: dict[str, Any] = json.loads((files("service") / "cli" / "example_deck.json").read_text("utf-8"))
    return found


_DECKS = (_SMALLEST, ("ledger", "A deck on a ledger with composite boards", bundled_deck()))
REQUEST_EXAMPLES: dict[str, tuple[Example, ...]] = {
    "createDesign": _DECKS,
    "createTakeoff": _DECKS,
    "compareFootings": _DECKS,
    "layoutStair": (_RISE, _BUILT),
}
