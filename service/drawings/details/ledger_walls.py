"""What a ledger hangs on, as the report tells it: which ledgers are alike, and the wall behind each."""

from __future__ import annotations

import math
from typing import NamedTuple

from service.contract.report import DesignReport
from service.contract.report_frame import Ledger, Level
from service.drawings.kit.symbols import depth_of
from service.units.finding import Finding


class Wall(NamedTuple):
    """The wall of the house behind a ledger: heights above the datum and depths, in; null where not known."""

    kind: str
    foundation: str
    sill_height_in: float | None
    build_up_in: float
    sill_plate_in: float
    sheathing_in: float


class Hung(NamedTuple):
    """A ledger with its level, its wall and the boards over it; ``marks`` are all ledgers like it."""

    ledger: Ledger
    level: Level
    wall: Wall
    decking_in: float
    decking: str
    joist_size: str
    marks: tuple[str, ...]

    @property
    def depth_in(self) -> float:
        """How deep the ledger is."""
        return self.ledger.top_height_in - self.ledger.bottom_height_in

    @property
    def length_in(self) -> float:
        """How long the ledger is."""
        return 12 * math.dist(self.ledger.start_ft, self.ledger.end_ft)

    @property
    def surface_in(self) -> float:
        """The deck's surface over it."""
        return self.ledger.top_height_in + self.decking_in

    @property
    def joist_depth_in(self) -> float:
        """How deep the joists are that hang on it."""
        return depth_of(self.joist_size)

    def fasteners(self) -> list[tuple[float, float]]:
        """Return every fastener: how far from the ledger's start, and how high, in."""
        rows = self.ledger.row_heights_in
        if len(rows) != 2:
            return []
        return [(at, rows[number % 2]) for number, at in enumerate(self.ledger.fasteners_at_in)]

    def shown_in(self) -> float:
        """Return how much of it an elevation shows: four fasteners and half a space more, or all of a short one."""
        places = self.ledger.fasteners_at_in
        if len(places) < 5:
            return min(self.length_in, 72.0)
        return min(self.length_in, (places[3] + places[4]) / 2)


def different_ledgers(report: DesignReport, level: str | None) -> list[Hung]:
    """Return one of each kind of ledger, with the marks of all of its kind."""
    every = [(one, ledger) for one in report.levels if level in (None, one.id) for ledger in one.ledgers]
    alike: dict[tuple[object, ...], list[str]] = {}
    first: dict[tuple[object, ...], tuple[Level, Ledger]] = {}
    for one, ledger in every:
        key = _kind(ledger)
        alike.setdefault(key, []).append(ledger.mark)
        first.setdefault(key, (one, ledger))
    return [_hung(report, *first[key], tuple(dict.fromkeys(marks))) for key, marks in alike.items()]


def _kind(ledger: Ledger) -> tuple[object, ...]:
    """What makes two ledgers alike: the board, its fasteners, and how both lie to the wall."""
    from_top = tuple(round(ledger.top_height_in - row, 2) for row in ledger.row_heights_in)
    band = tuple(
        None if height is None else round(ledger.top_height_in - height, 2)
        for height in (ledger.band_top_height_in, ledger.band_bottom_height_in)
    )
    return (
        ledger.size, ledger.species, ledger.grade, ledger.lands_on, ledger.fastener, ledger.spacing_in,
        ledger.sheathing_thickness_in, from_top, band, bool(ledger.lateral_devices),
    )  # fmt: skip


def _hung(report: DesignReport, level: Level, ledger: Ledger, marks: tuple[str, ...]) -> Hung:
    spec = next(one for one in report.resolved_spec.levels if one.id == level.id)
    joists = next((one for one in level.joists), None)
    return Hung(
        ledger,
        level,
        _wall(report, level, ledger),
        spec.decking.thickness_in,
        spec.decking.material,
        joists.size if joists else ledger.size,
        marks,
    )


def _wall(report: DesignReport, level: Level, ledger: Ledger) -> Wall:
    house = report.resolved_spec.house
    other = next((one for one in house.edge_walls if (one.level, one.edge) == (level.id, ledger.edge)), None)
    return Wall(
        other.wall if other else house.wall,
        other.foundation_wall if other else house.foundation_wall,
        other.door_sill_height_in if other else house.door_sill_height_in,
        house.floor_build_up_in,
        house.sill_plate_in,
        ledger.sheathing_thickness_in,
    )


def checks_of(report: DesignReport, ledger: str, *names: str) -> list[Finding]:
    """Return the checks of a ledger of some names."""
    return [one for one in report.checks if one.member == ledger and one.check in names]
