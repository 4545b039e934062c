"""How long holes take to dig: by their depth, and by their volume where they are wide."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from service.comparison.digging import dig_share
from service.contract.report import DesignReport
from service.contract.report_frame import Concrete, Footing
from service.foundations.facts import DUG, FoundationFacts
from tests.context import context, designed, spec_of

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
REFERENCE = {
    "tube_form_pier": (42, 18),
    "pad_and_pier": (42, 24),
    "belled_pier": (42, 24),
    "post_on_buried_pad": (42, 24),
}


def hole(depth_in: float, shaft_in: float | None, base_in: float | None = None) -> Footing:
    concrete = Concrete(
        shape="", shaft_diameter_in=shaft_in, base_shape="round" if base_in else None, base_size_in=base_in,
        thickness_in=None, depth_below_grade_in=depth_in, volume_cuft=1.0,
    )  # fmt: skip
    return Footing(
        id="", mark="", post=None, serves="", method="", x_ft=0, y_ft=0, load_lb=0, tributary_sqft=0,
        grade_height_in=0, top_height_in=0, bottom_height_in=-depth_in, exposed_in=0, in_backfill_zone=None,
        concrete=concrete, pile=None,
    )  # fmt: skip


@pytest.mark.parametrize("method", DUG)
def test_own_convention_the_usual_hole_is_one(method: str, facts: FoundationFacts) -> None:
    depth_in, width_in = REFERENCE[method]
    assert dig_share([hole(depth_in, width_in)], method, facts) == 1.0
    # a narrow one is no quicker, deeper ones go by their depth
    assert dig_share([hole(depth_in, 10)], method, facts) == 1.0
    assert dig_share([hole(2 * depth_in, 10, width_in)], method, facts) == 2.0
    # half as wide again is 2.25 times the volume
    assert dig_share([hole(depth_in, 10, 1.5 * width_in)], method, facts) == 2.25
    assert dig_share([hole(depth_in, width_in), hole(2 * depth_in, width_in)], method, facts) == 1.5


def test_own_convention_no_hole_is_dug_in_no_time(facts: FoundationFacts) -> None:
    assert dig_share([hole(6, 8)], "tube_form_pier", facts) == 0.4
    # each hole takes that at least, however large its neighbours are
    assert dig_share([hole(6, 8), hole(84, 8)], "tube_form_pier", facts) == 1.2


@pytest.mark.parametrize("method", ["helical_pile", "pier_block_on_grade", "stone_heap"])
def test_what_is_not_dug_has_no_hole(method: str, facts: FoundationFacts) -> None:
    assert dig_share([hole(84, 24)], method, facts) == 1.0
    assert dig_share([], "tube_form_pier", facts) == 1.0


def _small_attached(frost_in: float) -> DesignReport:
    given: dict[str, Any] = json.loads((EXAMPLES / "footings-small-attached.json").read_text("utf-8"))
    given["site"] = {**given.get("site", {}), "frost_depth_in": frost_in}
    return designed(spec_of(**given), context(given["jurisdiction"]))


def test_deeper_frost_takes_more_digging() -> None:
    hours: dict[str, list[float]] = {}
    days: dict[str, list[float]] = {}
    for frost_in in (12, 32, 60):
        for one in _small_attached(frost_in).footing_comparison.methods:
            for task in one.schedule.tasks if one.schedule else ():
                if task.task == "dig":
                    hours.setdefault(one.method, []).append(task.labour_hours)
                    days.setdefault(one.method, []).append(task.days_likely)
    assert set(hours) == set(DUG)
    for found in (*hours.values(), *days.values()):
        assert found[0] < found[1] < found[2]
