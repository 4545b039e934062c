"""How much is looked at beside the frame answered, counted so that answers repeat, and when that is enough."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from service.choice.search.search import Search

# All counts are in footings of a set worked out or bounded, the work that is done most often (0.1 to 0.2 ms each).
MOST = 45_000  # for all wishes and other frames of one design (convention of this service)
JUDGED = 10  # for each footing of a frame judged to the last check: members, connections, order and checks go with them
A_SECTION = 300  # for each section of the region of a field, whatever number of frames it holds


@dataclass
class Effort:
    """What was looked at so far; ``refused`` counts what was left out for it.

    >>> effort = Effort()
    >>> effort.allows(MOST), effort.allows(MOST + 1), effort.refused
    (True, False, 1)
    """

    spent: int = 0
    refused: int = 0

    def allows(self, more: int = 0) -> bool:
        """Return whether there is room for more, and count what is refused."""
        fits = self.spent + more <= MOST
        self.refused += not fits
        return fits

    def judged(self, footings: int) -> None:
        """Count a frame on so many footings judged to the last check."""
        self.spent += JUDGED * footings


def looked_at(searches: Iterable[Search]) -> int:
    """Return what searches have looked at so far: their fields, and the footings of the sets worked out."""
    return sum(fields(search) + _footings(search) for search in searches)


def fields(search: Search) -> int:
    """Return what the fields of a search took: joists and beams are looked up in every section of its region."""
    return A_SECTION * len(search.desk.arranging.ask.region.sections) * len(search.fields)


def _footings(search: Search) -> int:
    sets = search.desk.footings.sets
    exact = sum(count for one in sets.known for _, count in one)
    return exact + sum(len(loads_lb) for loads_lb, _ in sets.lightest)
