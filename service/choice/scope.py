"""What this version frames: one rectangular level on level ground, its house side on one straight wall."""

from __future__ import annotations

from collections.abc import Iterator

from service.contract.spec import DeckSpec, LevelSpec
from service.framing.outline import rectangle


def _level(level: LevelSpec) -> Iterator[str]:
    rect = rectangle(level)
    if rect is None:
        yield f"Level {level.id} is not a plain rectangle: outlines with other corners are not framed by this version."
        return
    if level.house_edges is not None and set(level.house_edges) - {rect.house_edge}:
        yield f"Level {level.id} touches the house on more than its edge {rect.house_edge}: not framed by this version."
    if rect.y_ft != 0:
        yield f"Level {level.id} does not begin at the house line (y = 0): not framed by this version."


def _reasons(spec: DeckSpec) -> Iterator[str]:
    if len(spec.levels) > 1:
        yield "More than one level: decks of several levels are not framed by this version."
    for level in spec.levels:
        yield from _level(level)
    if spec.house.edge_walls:
        yield "The deck touches a second wall of the house: not framed by this version."
    site = spec.site
    if site.grade_points or site.grade_fall_x_in_per_ft or site.grade_fall_y_in_per_ft:
        yield "Falling ground is not framed by this version."
    if spec.framing.joist_direction == "along_house":
        yield "Joists along the house are not framed by this version."
    if spec.framing.material != "sawn_lumber":
        yield f"Frames of {spec.framing.material.replace('_', ' ')} are not designed by this version."
    if any(stair.down_to not in ("grade", "pad") for stair in spec.stairs):
        yield "Stairs between levels are not framed by this version."


def outside_scope(spec: DeckSpec) -> tuple[str, ...]:
    """Return why a spec can't be framed by this version; empty where it can."""
    return tuple(_reasons(spec))
