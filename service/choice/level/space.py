"""The frames that may be tried: pins of the spec, and what is usual where nothing is pinned."""

from __future__ import annotations

from dataclasses import dataclass

import msgspec

from service.contract.spec import DeckSpec, FoundationSpec, FramingSpec, LevelSpec
from service.sizing.criteria import Criteria
from service.sizing.decking import decking_spacing_limit
from service.sizing.guard_posts import carrier_finding, moment_finding
from service.sizing.lumber import BY_DEPTH, nominal
from service.sizing.stair_limits import figure, stair_rules

PRINTED_SPACINGS_IN = (12.0, 16.0, 24.0)
USUAL_POSTS = ("6x6", "8x8")  # 6x6 is usual (common practice); 8x8 where it does not reach
PLIES = (1, 2, 3)


@dataclass(frozen=True)
class Space:
    """The choices open to a search, each in the order tried."""

    joist_sizes: tuple[str, ...]
    spacings_in: tuple[float, ...]
    beam_sizes: tuple[str, ...]
    plies: tuple[int, ...]
    placements: tuple[str, ...]
    post_sizes: tuple[str, ...]
    one_size: bool

    def beams_for(self, joist_size: str) -> tuple[str, ...]:
        """Return the beam sizes that go with a joist size; all of one depth where the spec wishes so."""
        if not self.one_size or len(self.beam_sizes) == 1:
            return self.beam_sizes
        return tuple(s for s in self.beam_sizes if nominal(s)[1] == nominal(joist_size)[1])


def _spacings(criteria: Criteria, level: LevelSpec, pinned_in: float | None) -> tuple[float, ...]:
    if pinned_in is not None:
        return (pinned_in,)
    limit = decking_spacing_limit(criteria, level.decking).spacing_in
    if limit is None:
        return (PRINTED_SPACINGS_IN[0],)
    return tuple(s for s in PRINTED_SPACINGS_IN if s <= limit) or (limit,)


def _carries_guards(level: LevelSpec, criteria: Criteria, size: str) -> bool:
    """Whether rims of a size take guard posts: 2x8 at least (DCA 6), and deep enough for a proven connector."""
    rules = stair_rules(criteria)
    height = figure(criteria.rulebook, "guard_height").value
    pull = moment_finding(level.id, height, level.decking.thickness_in, size, rules)
    deep = carrier_finding(level.id, size, rules)
    return deep.passes and (pull.passes or level.guard.post_mount != "side")


def space_of(spec: DeckSpec, level: LevelSpec, criteria: Criteria, guarded: bool) -> Space:
    """Return what may be tried for a level; on a guarded deck, only joists that take its guard posts."""
    wish = spec.framing
    joists = tuple(s for s in BY_DEPTH if not guarded or _carries_guards(level, criteria, s)) or BY_DEPTH[1:]
    placements = ("dropped", "flush") if wish.beam_placement == "auto" else (wish.beam_placement,)
    solid = wish.beam_size is not None and nominal(wish.beam_size)[0] > 2
    plies = (1,) if solid and wish.beam_plies is None else PLIES
    return Space(
        joist_sizes=(wish.joist_size,) if wish.joist_size else joists,
        spacings_in=_spacings(criteria, level, wish.joist_spacing_in),
        beam_sizes=(wish.beam_size,) if wish.beam_size else BY_DEPTH,
        plies=(wish.beam_plies,) if wish.beam_plies else plies,
        placements=placements,
        post_sizes=(wish.post_size,) if wish.post_size else USUAL_POSTS,
        one_size=wish.one_size,
    )


def without_pins(spec: DeckSpec) -> DeckSpec:
    """Return the spec with nothing pinned, to look for the nearest frame that stands."""
    wish = spec.framing
    free = FramingSpec(
        species=wish.species,
        grade=wish.grade,
        ledger_species=wish.ledger_species,
        objective=wish.objective,
        cost_ceiling=wish.cost_ceiling,
    )
    supply = FoundationSpec(concrete_supply=spec.foundation.concrete_supply)
    return msgspec.structs.replace(spec, framing=free, foundation=supply)
