"""What names a post or a rim still names a member where the beam sits on its piers or is flush."""

from __future__ import annotations

import json
from typing import Any

import pytest

from service.app import bundled_snapshot, make_desk
from service.contract.report import DesignReport
from service.pipeline import design
from service.web.resolve import context_of, read_spec


@pytest.fixture(scope="module")
def designed() -> Any:
    desk = make_desk(bundled_snapshot())

    def of(wall: str, placement: str, **level: float) -> DesignReport:
        body = {
            "jurisdiction": "alder-county",
            "as_of": "2026-11-25",
            "house": {"wall": wall},
            "levels": [level],
            "framing": {"beam_placement": placement},
        }
        spec = read_spec(json.dumps(body).encode(), desk)
        return design(spec, context_of(spec, desk))

    return of


def test_a_beam_on_its_piers_is_spliced_over_footings(designed: Any) -> None:
    report = designed("wood_band", "auto", width_ft=20.5, projection_ft=5.0, surface_height_in=10.0)
    splices = [splice for level in report.levels for beam in level.beams for splice in beam.splices]
    assert splices
    assert not report.posts
    assert {splice.at_post for splice in splices} <= {footing.id for footing in report.footings}


def test_guard_posts_of_a_deck_that_stands_free_are_carried_by_its_flush_beams(designed: Any) -> None:
    report = designed("none", "flush", width_ft=6.0, projection_ft=5.0, surface_height_in=31.0)
    (level,) = report.levels
    carried = {one for guard in level.guards for post in guard.posts for one in post.carried_by}
    assert {beam.id for beam in level.beams} <= carried
