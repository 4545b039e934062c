"""A level of a spec as its guards see it."""

from __future__ import annotations

from service.contract.spec import DeckSpec, LevelSpec
from service.framing.ground import Grade
from service.framing.guard_falls import Floor, GuardedLevel
from service.framing.sides import Outline, level_outline
from service.sizing.lumber import BY_DEPTH, depth_in


def guarded_level(spec: DeckSpec, level: LevelSpec, outline: Outline, ground: Grade) -> GuardedLevel:
    """Return a level with the ground and the other levels beside it.

    Of another level's frame only its boards are known here, and that its joists are no shallower than the least.
    """
    return GuardedLevel(
        id=level.id,
        outline=outline,
        surface_height_in=level.surface_height_in,
        decking_thickness_in=level.decking.thickness_in,
        grade=ground,
        others=tuple(
            Floor(
                level_outline(spec, other).polygon,
                other.surface_height_in,
                other.decking.thickness_in + depth_in(BY_DEPTH[0]),
            )
            for other in spec.levels
            if other.id != level.id
        ),
    )
