"""What a search is asked for: one region, its heights, its loads and its stock."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from service.choice.level.space import Space
from service.choice.level.watch import UNWATCHED, Watch
from service.framing.boards import Boards
from service.framing.edge_loads import EdgeLoad
from service.framing.ground import Terrain, heights_over
from service.framing.joist_lines import joist_places
from service.framing.region import Region
from service.sizing.criteria import Criteria


@dataclass(frozen=True)
class Ask:
    """One region to be framed.

    ``boards`` are the longest that can be bought. ``loads`` are those of stairs on its edges. Every post is to stand
    at least ``clear_of_house_in`` from the walls of the house, 0 where that does not matter. ``landings`` says how a
    ledger of a joist size may land on its wall at best, 0 by tables or 1 for an engineer; of others 0. ``watch``
    may end the search.
    """

    level: str
    region: Region
    surface_in: float
    decking_in: float
    ground: Terrain
    criteria: Criteria
    space: Space
    boards: Boards
    loads: tuple[EdgeLoad, ...] = ()
    clear_of_house_in: float = 0.0
    landings: Mapping[str, int] = field(default_factory=dict)
    watch: Watch = field(default=UNWATCHED, compare=False, repr=False)

    @property
    def stock_in(self) -> float:
        """The longest board of most sizes, in."""
        return self.boards.longest_in

    @cached_property
    def lowest_ground_in(self) -> float:
        """The lowest ground under the region, in above the datum."""
        return min(heights_over(self.ground, [border.start_ft for border in self.region.borders]))

    @cached_property
    def joists_in(self) -> dict[float, tuple[tuple[int, float], ...]]:
        """Where joists stand at each spacing that is tried."""
        return {spacing: joist_places(self.region, spacing) for spacing in self.space.spacings_in}

    @cached_property
    def joist_lengths(self) -> dict[float, tuple[tuple[int, float], ...]]:
        """How many joists each section has at each spacing, and their length in its middle less rims, in."""
        parts = self.region.sections
        lengths = [max(0.0, part.length_in(part.middle_in) - 3.0) for part in parts]
        counts = {spacing: Counter(section for section, _ in at) for spacing, at in self.joists_in.items()}
        return {s: tuple((n, lengths[part]) for part, n in found.items()) for s, found in counts.items()}
