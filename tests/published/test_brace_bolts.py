"""Bolts of braces and guard posts against figures of the NDS and the IRC."""

from __future__ import annotations

import pytest
from context import criteria, timber

from service.sizing.calculated_braces import SWAY_KE, bolt_value
from service.sizing.calculated_result import Allowable
from service.sizing.guard_post_bending import bending_finding
from service.sizing.stair_limits import stair_rules
from service.timber.dowels import Dowel, Lateral, Part, lateral_value_lb

BOLT = Dowel("bolt", 0.5, 45_000.0, 0.5)
WET = 0.7  # NDS Table 11.3.3, from memory

# NDS Table 12A, row tm = 3-1/2, ts = 1-1/2, D = 1/2 in: Z parallel, side across, main across, both across; from memory.
ROWS = [
    (0.55, (660, 400, 470, 360)),
    (0.50, (610, 370, 430, 330)),
    (0.43, (550, 320, 380, 290)),
    (0.42, (540, 320, 370, 280)),
]


@pytest.mark.parametrize(("gravity", "printed"), ROWS, ids=lambda v: f"NDS-12A-{v}")
def test_half_inch_bolts_through_a_2x_on_a_post(gravity: float, printed: tuple[int, ...]) -> None:
    angles = ((0.0, 0.0), (0.0, 90.0), (90.0, 0.0), (90.0, 90.0))
    for (main, side), expected in zip(angles, printed, strict=True):
        found = lateral_value_lb(BOLT, Part(3.5, gravity, main), Part(1.5, gravity, side))
        assert isinstance(found, Lateral)
        assert found.value_lb == pytest.approx(expected, abs=6)


@pytest.mark.parametrize(
    ("species", "gravity"), [("southern_pine", 0.55), ("hem_fir", 0.43)], ids=["NDS-12A-SP", "NDS-12A-HF"]
)
def test_a_brace_bolt_lies_between_the_table_along_and_across(species: str, gravity: float) -> None:
    along, _, across, _ = dict(ROWS)[gravity]
    found = bolt_value(timber(), species, 0.5, 1.5, 3.5)
    assert isinstance(found, Allowable)
    assert WET * across < found.value < WET * along
    assert found.status == "memory"


def test_sway_takes_the_effective_length_of_nds_appendix_g() -> None:
    assert SWAY_KE == 2.4  # a head that moves but does not turn over a pinned foot: from memory


@pytest.mark.parametrize("edition", ["2015", "2018", "2021", "2024"], ids=lambda e: f"IRC-{e}-R301.5-200lb")
def test_a_36_in_guard_bends_a_4x4_by_200_lb(edition: str) -> None:
    rules = criteria(edition)
    found = bending_finding("main.guard-1", "side", 36.0, 1.0, stair_rules(rules), rules)
    assert found is not None
    # 200 lb at 36 + 1 + 2 in over 3.5^3 / 6 in3; Southern Pine No. 2 4x4: 1100 psi (NDS Supplement Table 4B) x 1.6.
    assert found.demand == pytest.approx(200 * 39 / (3.5**3 / 6))
    assert found.capacity == pytest.approx(1100 * 1.6)
    assert found.citation.status == "common_practice"
