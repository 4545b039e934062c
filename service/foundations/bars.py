"""Bars in a pier that is too slender to stand plain on a wider base."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from service.contract.ids import item
from service.contract.report import Caution
from service.contract.report_frame import Reinforcement
from service.foundations.facts import FoundationFacts
from service.foundations.method import Need, Sized, cut_need
from service.foundations.shape import Shape
from service.units.finding import SLACK

BAR, GRADE = "no_4", "grade_40"


def pier_bars(shaft_in: float, length_in: float, facts: FoundationFacts) -> Reinforcement:
    """Return the upright bars of a round pier.

    Source: ACI 318 from memory: half a percent of the section, no fewer than four no. 4 bars, 3 in of cover.

    Args:
        shaft_in: diameter of the pier, in.
        length_in: length of pier and base together, in.
        facts: the figures.

    >>> [(one.bars, one.length_in) for one in (pier_bars(12, 35, facts), pier_bars(24, 35, facts))]
    [(4, 29.0), (12, 29.0)]
    """
    section = math.pi / 4.0 * shaft_in**2
    needed = facts.value("bar_share") * section / facts.value("bar_area")
    count = max(facts.value("bars_least"), math.ceil(needed - SLACK))
    return Reinforcement(size=BAR, bars=int(count), length_in=length_in - 2.0 * facts.value("bar_cover"))


def barred(shape: Shape, facts: FoundationFacts) -> Shape:
    """Return a shape with bars in it where its shaft is too tall for its width to stand plain on a base.

    Source: ACI 318 chapter 14 from memory: a plain pedestal is no taller than three times its least side, in.

    Args:
        shape: the concrete, in.
        facts: the figures.

    >>> barred(Shape(60.0, 3.0, 12.0, 24.0, "square", 9.0), facts).bars.length_in
    57.0
    >>> barred(Shape(32.0, 3.0, 12.0), facts).bars is None
    True
    """
    least = facts.value("pedestal_height_ratio") * (shape.shaft_in or 0.0)
    if shape.shaft_in is None or shape.base_in is None or shape.shaft_length_in <= least + SLACK:
        return shape
    return replace(shape, bars=pier_bars(shape.shaft_in, shape.length_in, facts))


def bar_cautions(shape: Shape, facts: FoundationFacts) -> tuple[Caution, ...]:
    """Return what has to be said of the bars; empty where there are none.

    Source: ACI 318, from memory.

    Args:
        shape: the concrete, in.
        facts: the figures.

    >>> bar_cautions(Shape(32.0, 3.0, 12.0), facts)
    ()
    """
    bars = shape.bars
    if bars is None:
        return ()
    ratio = facts.value("pedestal_height_ratio")
    text = (
        f"a plain pier over {ratio:g} times as tall as wide needs reinforcement (ACI 318, from memory): "
        f"{bars.bars} bars no. 4 of {bars.length_in:g} in stand in a {shape.shaft_in:g} in pier"
    )
    action = (
        "have the bars confirmed, with the ties round them, which are not in the order; or use a wider shaft"
    )
    return (Caution(code="value_from_memory", text=text, action=action),)


def bar_item(size: str) -> str:
    """Return the item of bars of a size; no unit.

    Source: grade 40 is the least of ASTM A615, from memory.

    >>> bar_item("no_4")
    'reinforcement.no_4.grade_40'
    """
    return item("reinforcement", size, GRADE)


def bar_needs(sized: Sequence[Sized]) -> Iterator[Need]:
    """Yield the bars of all piers, by their length.

    Source: quantities of the footings, in lineal ft.

    Args:
        sized: the footings.

    >>> list(bar_needs(()))
    []
    """
    lengths: list[float] = []
    for one in sized:
        bars = one.footing.concrete.reinforcement if one.footing.concrete else None
        if bars is not None:
            lengths += [bars.length_in] * bars.bars
    if lengths:
        yield cut_need(bar_item(BAR), lengths)
