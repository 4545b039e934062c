"""What posts carry by the search's memory of rows, against the beam solver; posts that a beam would lift."""

from __future__ import annotations

from dataclasses import replace

import pytest
from choice.priced_cases import case_of, some_layouts

from service.choice.level.score import PostLoads
from service.framing.layout import Layout
from service.framing.statics import shares
from service.mechanics.beam import Beam, Uniform
from service.mechanics.response import analyse

CASE = case_of(levels=[{"width_ft": 16, "projection_ft": 12, "surface_height_in": 36}])
(PLAIN, *_) = some_layouts(CASE, "ledger", 1)


def on(*posts_in: float) -> Layout:
    return replace(PLAIN, rows=tuple(replace(row, posts_in=posts_in) for row in PLAIN.rows))


def solved_lb(layout: Layout) -> tuple[float, ...]:
    """Reactions of the whole beam under its one even load."""
    (row,), ((share,),) = layout.rows, shares(layout).rows
    beam = Beam(row.length_in / 12, tuple(x / 12 for x in row.posts_in))
    plf = CASE.criteria.design_psf * share.width_ft
    return analyse(beam, [Uniform(0.0, beam.length_ft, plf)], 1.0).reactions_lb


@pytest.mark.parametrize(
    ("posts_in", "lifted"), [((24.0, 168.0), False), ((24.0, 96.0, 168.0), False), ((1.0, 20.0, 168.0), True)]
)
def test_a_post_beside_a_long_span_is_lifted(posts_in: tuple[float, ...], lifted: bool) -> None:
    """Close to the second post the first one holds the beam down: the solver says so, and no frame is taken so."""
    loads, layout = PostLoads(CASE.ask(PLAIN.region)), on(*posts_in)
    reactions = solved_lb(layout)
    assert (min(reactions) < 0) is lifted
    assert loads.lifts(layout) is lifted
    most, lifts = loads.of(layout)
    assert lifts is lifted
    assert most >= max(reactions) - 1e-6


def test_rows_on_other_posts_are_not_taken_for_each_other() -> None:
    loads = PostLoads(CASE.ask(PLAIN.region))
    wide, narrow = loads.of(on(24.0, 168.0))[0], loads.of(on(24.0, 96.0, 168.0))[0]
    assert loads.of(on(24.0, 168.0))[0] == wide == pytest.approx(max(solved_lb(on(24.0, 168.0))))
    assert narrow != wide
