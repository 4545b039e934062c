"""What a footing method has to know of the whole deck."""

from __future__ import annotations

from collections.abc import Sequence

from service.choice.level.case import Case
from service.foundations.site import DeckFacts


def deck_facts(cases: Sequence[Case]) -> DeckFacts:
    """Return the area of all levels, and how far the highest edge lies over the ground near it."""
    return DeckFacts(
        area_sqft=sum(case.outline.polygon.area for case in cases),
        surface_over_grade_in=max(case.over_grade_in for case in cases),
    )
