"""Single figures on stairs and guards, from the code in force and from the guide beside it."""

from __future__ import annotations

from dataclasses import dataclass

from service.rules.rulebook import Rulebook
from service.sizing.criteria import Criteria
from service.units.citation import Citation
from service.units.working import Step


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure with the row it stands in."""

    value: float
    citation: Citation
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class StairRules:
    """The code a stair or guard is judged by, and the guide for what the code leaves out."""

    code: Rulebook
    guide: Rulebook


def stair_rules(criteria: Criteria) -> StairRules:
    """Return the two books of a design's criteria; figures in them are in in, lb and psf.

    Source: the rulebook and the guide the design is made under.

    Args:
        criteria: what the design is judged by.
    """
    return StairRules(criteria.rulebook, criteria.guide)


def figure(book: Rulebook, key: str) -> Figure:
    """Return one figure of a rulebook or guide, in the unit of its row (in, lb, psf or a count).

    Source: the book's own rows on stairs, guards and loads.

    Args:
        book: code or guide.
        key: key of the row.

    Raises:
        ValueError: the book has no number under that key; a stair is never judged by a guess.
    """
    reading = book.limit(key)
    if reading.value is None:
        raise ValueError(f"{book.id} has no figure for {key}")
    return Figure(reading.value, reading.citation, reading.steps)
