"""The footing schedule: where each footing goes and what it is."""

from __future__ import annotations

from collections.abc import Iterator

from service.contract.report import DesignReport
from service.contract.report_frame import Concrete, Footing, Pile
from service.drawings.package.blocks import Column, Section, table
from service.drawings.package.marks import Marks
from service.drawings.package.words import NOTHING, feet, length, number, words
from service.units.text import item_words

PLACES = (
    Column("mark", 0.9), Column("carries", 0.8), Column("method", 0.9), Column("x", 1.1, "right"),
    Column("y", 1.1, "right"), Column("size", 2.1), Column("below grade", 1.1, "right"),
    Column("top, bottom above datum", 1.2, "right"), Column("load, lb", 0.8, "right"),
    Column("floor carried, sq ft", 0.8, "right"), Column("in backfill", 0.8),
)  # fmt: skip
_ZONE = {True: "yes", False: "no", None: "not known"}


def footing_schedule(report: DesignReport, marks: Marks) -> Section:
    """Return the section with every footing; places are from the house corner, along the wall and out from it."""
    return Section(title="Footing schedule", blocks=table("", PLACES, _rows(report, marks)), new_page=True)


def _rows(report: DesignReport, marks: Marks) -> Iterator[tuple[str, ...]]:
    for footing in report.footings:
        yield (
            marks.of(footing.id),
            marks.all_of([footing.post or footing.serves]),
            words(footing.method),
            feet(footing.x_ft),
            feet(footing.y_ft),
            size_of(footing),
            length(footing.grade_height_in - footing.bottom_height_in),
            f"{length(footing.top_height_in)}\n{length(footing.bottom_height_in)}",
            number(footing.load_lb),
            number(footing.tributary_sqft, 1),
            _ZONE[footing.in_backfill_zone],
        )


def size_of(footing: Footing) -> str:
    """Return what a footing is made of, in one line."""
    if footing.pile is not None:
        return _pile(footing.pile)
    return NOTHING if footing.concrete is None else "; ".join(_concrete(footing.concrete))


def _pile(pile: Pile) -> str:
    helices = ", ".join(f"{number(one)} in" for one in pile.helices)
    return (
        f"{item_words(pile.shaft)}, helix {helices}, {number(pile.length_ft)} ft long, "
        f"torque at least {number(pile.torque_ft_lb)} ft-lb"
    )


def _concrete(one: Concrete) -> Iterator[str]:
    if one.shaft_diameter_in is not None:
        yield f"{number(one.shaft_diameter_in)} in {words(one.shape)} shaft"
    if one.base_size_in is not None:
        yield f"{number(one.base_size_in)} in {words(one.base_shape or one.shape)} base"
    if one.width_in is not None and one.length_in is not None:
        yield f"{number(one.width_in)} x {number(one.length_in)} in pad"
    if one.thickness_in is not None:
        yield f"{number(one.thickness_in)} in thick"
    if one.bell_height_in is not None:
        yield f"bell {number(one.bell_height_in)} in high"
    yield f"{number(one.volume_cuft, 2)} cu ft"
    if one.reinforcement is not None:
        bars = one.reinforcement
        yield f"{bars.bars} bars {item_words(bars.size)}, {length(bars.length_in)} long"
    if one.stone_cuft:
        yield f"{number(one.stone_cuft, 2)} cu ft of stone under it"
