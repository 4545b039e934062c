"""Loads on the edge of a deck, and the beam that takes each: the upper end of a stair."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.contract.report_frame import Point
from service.framing.layout import Layout
from service.mechanics.beam import Uniform


@dataclass(frozen=True)
class EdgeLoad:
    """A load spread along part of edge ``number``, ft in the deck frame; ``member`` puts it there.

    ``alone``: what puts it there can stand by itself on so many footings, and does where no beam under the edge
    takes it; null where it can't.
    """

    member: str
    number: int
    start_ft: Point
    end_ft: Point
    load_lb: float
    alone: int | None = None


@dataclass(frozen=True)
class Taken:
    """A load of an edge on a row of beam, with the cantilever it stands on: 0 where the beam lies under the edge."""

    load: EdgeLoad
    row: int
    uniform: Uniform
    cantilever_in: float

    @property
    def load_plf(self) -> float:
        """The load for each foot along the beam."""
        return self.uniform.load_plf


def taken(layout: Layout, loads: tuple[EdgeLoad, ...]) -> Iterator[Taken]:
    """Yield the loads that beams of a layout take: all on an edge that joists end at, but those that stand alone."""
    yield from (one for one in at_ends(layout, loads) if not stands_alone(layout, one))


def stands_alone(layout: Layout, one: Taken) -> bool:
    """Return whether what puts a load on an edge stands by itself there: the edge is no place for it."""
    return one.load.alone is not None and (one.cantilever_in > 0 or layout.placement == "flush")


def at_ends(layout: Layout, loads: tuple[EdgeLoad, ...]) -> Iterator[Taken]:
    """Yield the loads on edges that joists end at, over a beam or past it; others, at a flank, go to nobody here."""
    for load in loads:
        found = _section_of(layout, load)
        if found is None:
            continue
        section, high, u0, u1 = found
        line = layout.arrangement.line_at(section, (u0 + u1) / 2)
        rest = line.rests[-1 if high else 0]
        if rest.row is None:
            continue
        row = layout.rows[rest.row]
        start, end = row.along(u0) / 12, row.along(u1) / 12
        if end - start < 0.01:
            start, end = (start, start + 0.01) if start * 12 < row.length_in / 2 else (end - 0.01, end)
        plf = load.load_lb / (end - start)
        past = line.high_cantilever_in if high else line.low_cantilever_in
        yield Taken(load, rest.row, Uniform(start, end, plf), past)


def _section_of(layout: Layout, load: EdgeLoad) -> tuple[int, bool, float, float] | None:
    """The section whose joists end at the load's edge under its middle, and at which end of them."""
    axes = layout.region.axes
    u0, u1 = sorted(axes.local_in(point)[0] for point in (load.start_ft, load.end_ft))
    for number, section in enumerate(layout.region.sections):
        if not section.from_in <= (u0 + u1) / 2 <= section.to_in:
            continue
        for high, bound in ((False, section.low), (True, section.high)):
            if bound.number == load.number:
                return number, high, u0, u1
    return None
