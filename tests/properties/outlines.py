"""Random decks of every shape: `outline_case(seed)` is the same deck on every run and machine."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from random import Random  # noqa: TID251 - seeded: the same decks on every run
from typing import Any

import msgspec
from context import EDITIONS, spec_of
from properties.outline_moves import mirrored, more_corners, other_sense, other_start
from properties.outline_shapes import KINDS, Shape
from shapely import Polygon

from service.contract.faults import spec_faults
from service.contract.spec import DeckSpec

NAMES = tuple(KINDS)
TRIES = 60


@dataclass(frozen=True)
class Case:
    """One random deck: which kind of outline it is, the seed it was drawn with, its edition."""

    kind: str
    seed: int
    edition: str
    spec: DeckSpec

    def __str__(self) -> str:
        return f"{self.kind}-{self.seed}"


def outline_case(seed: int) -> Case:
    """Return the deck of a seed; kinds take turns.

    >>> outline_case(3) == outline_case(3), outline_case(3).kind
    (True, 'u_shape')
    """
    kind = NAMES[seed % len(NAMES)]
    rng = Random(seed)  # noqa: S311 - no secret
    for _ in range(TRIES):
        edition = rng.choice(EDITIONS)
        drawn = _deck(rng, KINDS[kind](rng), edition)
        spec = _rewritten(rng, drawn) if drawn is not None and sound(drawn) else None
        if spec is not None and sound(spec):
            return Case(kind, seed, edition, spec)
    raise AssertionError(f"no sound {kind} came of seed {seed}")


def cases(count: int, first: int = 0) -> Iterator[Case]:
    """Yield the decks of ``count`` seeds."""
    return map(outline_case, range(first, first + count))


def sound(spec: DeckSpec) -> bool:
    """Tell whether a spec has no fault and its outline is a simple polygon."""
    level = spec.levels[0]
    if level.outline_ft is not None and not Polygon(level.outline_ft).is_valid:
        return False
    return not list(spec_faults(spec))


def _grid(rng: Random) -> Callable[[float], float]:
    """What a builder rounds his tape to: a quarter of a foot, an inch, or not at all."""
    per_ft = rng.choices((4, 12, 10_000), (6, 3, 1))[0]
    return lambda feet: round(feet * per_ft) / per_ft


def _deck(rng: Random, shape: Shape, edition: str) -> DeckSpec | None:
    grid = _grid(rng)
    corners = [[grid(x), grid(y)] for x, y in shape.corners]
    if len({tuple(c) for c in corners}) < len(corners):
        return None
    wall = "none" if not shape.at_house or rng.random() < 0.15 else _wall(rng)
    surface = round(rng.uniform(20, 100) * 2) / 2
    level: dict[str, Any] = {"surface_height_in": surface, "outline_ft": corners, "decking": _boards(rng)}
    plain = len(corners) == 4 and corners[0] == [0, 0] and corners[2] == [corners[1][0], corners[3][1]]
    if plain and rng.random() < 0.5:
        level |= {"width_ft": corners[2][0], "projection_ft": corners[2][1]}
        del level["outline_ft"]
    on_wall = [i for i, c in enumerate(corners) if c[1] == 0 == corners[(i + 1) % len(corners)][1]]
    if wall != "none" and rng.random() < 0.4:
        level["house_edges"] = on_wall
    return spec_of(
        rulebook=f"irc-{edition}",
        site=_site(rng, corners),
        house=_house(rng, wall, surface, shape.other_walls),
        levels=[level],
        framing=_wishes(rng),
    )


def _wall(rng: Random) -> str:
    walls = ("wood_band", "engineered_rim", "poured_concrete", "brick_veneer", "unknown")
    return rng.choices(walls, (70, 8, 6, 8, 8))[0]


def _house(rng: Random, wall: str, surface_in: float, others: tuple[int, ...]) -> dict[str, Any]:
    sill = surface_in + rng.choice((1.5, 1.5, 1.5, 1.0, 4.0))
    house: dict[str, Any] = {"wall": wall}
    if wall == "none":
        return house
    house |= {"door_sill_height_in": sill, "rim_depth_in": rng.choice((9.25, 11.25, 11.25))}
    if rng.random() < 0.5:
        house |= {"foundation_wall": "poured_concrete", "foundation_depth_in": rng.choice((48, 84, 96))}
    if others and rng.random() < 0.75:
        second = wall if rng.random() < 0.6 else rng.choice(("brick_veneer", "wood_band", "unknown"))
        walls = [
            {"edge": n, "wall": second, "door_sill_height_in": sill, "rim_depth_in": house["rim_depth_in"]}
            for n in others
        ]
        house["edge_walls"] = walls
    return house


def _site(rng: Random, corners: list[list[float]]) -> dict[str, Any]:
    site: dict[str, Any] = {
        "frost_depth_in": rng.choice((12, 24, 36)),
        "ground_snow_load_psf": rng.choices((0, 20, 30, 40, 55, 70), (4, 4, 6, 2, 2, 1))[0],
        "soil_class": rng.choice(("clay", "clay", "sand", "sandy_gravel")),
    }
    ground = rng.choices(("level", "falls", "points"), (60, 28, 12))[0]
    if ground == "falls":
        site["grade_fall_y_in_per_ft"] = round(rng.uniform(-0.25, 2.0), 2)
        site["grade_fall_x_in_per_ft"] = round(rng.uniform(-1.0, 1.0), 2)
    elif ground == "points":
        site["grade_points"] = _measured(rng, corners)
    return site


def _measured(rng: Random, corners: list[list[float]]) -> list[dict[str, float]]:
    """Ground measured round the deck and within it, at odd places so that only one triangulation is right."""
    x0, x1 = min(c[0] for c in corners), max(c[0] for c in corners)
    y0, y1 = min(c[1] for c in corners), max(c[1] for c in corners)
    ends = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    middle = [(rng.uniform(x0, x1), rng.uniform(y0, y1)) for _ in range(rng.randint(1, 3))]
    found = [(x + rng.uniform(-3, 3), y + rng.uniform(-3, 3)) for x, y in [*ends, *middle]]
    return [
        {"x_ft": round(x, 2), "y_ft": round(y, 2), "grade_in": round(rng.uniform(-14, 2) - (y - y0) / 2, 1)}
        for x, y in found
    ]


def _boards(rng: Random) -> dict[str, Any]:
    return {
        "material": rng.choices(("wood", "composite", "pvc"), (6, 3, 1))[0],
        "angle_deg": rng.choices((0, 45), (8, 1))[0],
        "border_boards": rng.choices((0, 1), (3, 1))[0],
    }


def _wishes(rng: Random) -> dict[str, Any]:
    kinds = ("southern_pine", "douglas_fir_larch", "hem_fir", "spruce_pine_fir", "western_cedar", "redwood")
    wishes: dict[str, Any] = {"species": rng.choices(kinds, (6, 3, 2, 2, 1, 1))[0]}
    if rng.random() < 0.15:
        wishes["attachment"] = rng.choice(("freestanding", "ledger"))
    if rng.random() < 0.2:
        wishes["joist_direction"] = rng.choice(("away_from_house", "along_house"))
    if rng.random() < 0.08:
        wishes["joist_size"] = rng.choice(("2x8", "2x10"))
    if rng.random() < 0.08:
        wishes["joist_spacing_in"] = rng.choice((12, 16, 24))
    if rng.random() < 0.06:
        wishes["objective"] = rng.choice(("fewest_footings", "stiffness"))
    return wishes


def _rewritten(rng: Random, spec: DeckSpec) -> DeckSpec:
    """The same deck as another caller would send it: mirrored, the other way round, from another corner."""
    level = spec.levels[0]
    if level.outline_ft is None:
        return spec
    if rng.random() < 0.5:
        spec = mirrored(spec)
    if rng.random() < 0.3:
        spec = other_sense(spec)
    if rng.random() < 0.3:
        spec = other_start(spec, rng.randrange(1, len(level.outline_ft)))
    if rng.random() < 0.15:
        edge, share = rng.randrange(len(level.outline_ft)), rng.choice((0.25, 0.5, 0.5))
        spec = more_corners(spec, edge, share)
    if rng.random() < 0.15:
        x = math.floor(rng.uniform(-20, 20) * 4) / 4
        spec = msgspec.structs.replace(
            spec,
            levels=(msgspec.structs.replace(spec.levels[0], origin_ft=(x, spec.levels[0].origin_ft[1])),),
        )
    return spec
