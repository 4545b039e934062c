"""A stair on a beam is in the beam's calculation as in its posts: bending, shear, bearing and deflection by hand."""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from context import context, criteria, designed, spec_of, timber

from service.checks.calculated import beam_findings
from service.checks.judged import Judged
from service.checks.verdict import verdict
from service.contract.report import DesignReport
from service.contract.report_frame import Beam, Splice
from service.framing.edge_loads import EdgeLoad, Taken
from service.mechanics.beam import Uniform
from service.units.citation import own_convention
from service.units.finding import Finding, at_most

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
PLF = 500.0  # 10 dead and 40 live on 10 ft of floor
SECTION_IN3, INERTIA_IN4 = 2 * 1.5 * 11.25**2 / 6, 2 * 1.5 * 11.25**3 / 12


def veneer(**changed: object) -> DesignReport:
    spec = json.loads((EXAMPLES / "freestanding-veneer.json").read_text("utf-8")) | changed
    return designed(spec_of(**spec), context(spec["jurisdiction"]))


def checks(report: DesignReport, check: str, member: str = "main.beam-2") -> list[Finding]:
    return [one for one in report.checks if one.member == member and one.check == check]


def beam(posts_ft: tuple[float, ...], length_ft: float, *splices: Splice) -> Beam:
    """Two plies of 2x12 under 500 plf."""
    spans = tuple(12 * (b - a) for a, b in pairwise(posts_ft))
    return Beam(
        id="main.beam-1", mark="B1", size="2x12", plies=2, placement="dropped", species="hem_fir", grade="no_2",
        start_ft=(0.0, 10.0), end_ft=(length_ft, 10.0), bottom_height_in=20.0, supports_ft=posts_ft, spans_in=spans,
        overhang_start_in=12 * posts_ft[0], overhang_end_in=12 * (length_ft - posts_ft[-1]), splices=splices,
        line_load_plf=PLF,
    )  # fmt: skip


def stair(start_ft: float, end_ft: float, load_lb: float) -> Taken:
    load = EdgeLoad("deck.stair-1", 2, (start_ft, 10.0), (end_ft, 10.0), load_lb)
    return Taken(load, 0, Uniform(start_ft, end_ft, load_lb / (end_ft - start_ft)), 0.0)


def found(made: Beam, *stairs: Taken) -> dict[str, list[Finding]]:
    out: dict[str, list[Finding]] = {}
    for one in beam_findings(made, "4x4", criteria("2021", species="hem_fir"), timber(), stairs):
        out.setdefault(one.check, []).append(one)
    return out


def test_beam_of_the_veneer_example_bends_under_its_stair() -> None:
    """Beam B2: 259.1 plf (a fifth of it dead), posts at 2 and 12 of 14 ft, and a stair of 328.1 lb from 6 to 9 ft.

    Live on the span only: the left post has 0.8 x 259.1 x 5 + 0.2 x 259.1 x 7 = 1,399.2 lb of the deck, and of the
    stair, whose middle is at 7.5 ft, 328.1 x 4.5 / 10 = 147.7 lb: 1,546.8 lb. No shear where
    1,546.8 - 51.8 x 2 - 259.1 x - 109.4 (x - 4) = 0: x = 5.10 ft from the post. Moment there:
    1,443.2 x 5.10 - 103.6 x 1 - 259.1 x 5.10^2 / 2 - 109.4 x 1.10^2 / 2 = 3,820 lb-ft. S = 3 x 1.5 x 9.25^2 / 6 =
    64.17 in3: 714.4 psi of 920.
    """
    report = veneer()
    (bending,) = checks(report, "beam_bending")
    assert bending.demand == pytest.approx(714.4, abs=0.3)
    assert bending.capacity == 920.0
    (load,) = [one for one in bending.working if one.symbol == "P"]
    assert load.value == pytest.approx(2.1875 * 3 * 50, abs=0.1)
    assert load.source == "deck.stair-1 on this beam, from 6 to 9 ft of its length: dead and live"


def findings_of(made: Beam) -> Iterator[Finding]:
    return beam_findings(made, "6x6", criteria("2021"), timber())


def test_only_the_beam_with_the_stair_is_stressed_more() -> None:
    """The deck alone brings 3,135 lb-ft: 586.2 psi. The beam at the house has no stair and no more than its floor."""
    report = veneer()
    bare = {
        one.id: next(found for found in findings_of(one) if found.check == "beam_bending")
        for one in report.levels[0].beams
    }
    assert bare["main.beam-2"].demand == pytest.approx(586.2, abs=0.3)
    (house,) = checks(report, "beam_bending", "main.beam-1")
    assert bare["main.beam-1"].demand == pytest.approx(house.demand, rel=1e-3)


def test_a_stair_along_a_whole_span_is_as_so_much_more_floor() -> None:
    """Simple span of 8 ft, stair of 800 lb along it: 600 plf. M = w L2 / 8 = 4,800 lb-ft, R = 2,400 lb,
    V = 2,400 - 600 x 11.25 / 12 = 1,837.5 lb; deflection 5 w L4 / 384 E I under the live 480 plf alone.
    """  # fmt: skip
    made = beam((0.0, 8.0), 8.0)
    got = {check: lines[0] for check, lines in found(made, stair(0.0, 8.0, 800.0)).items()}
    assert got["beam_bending"].demand == pytest.approx(12 * 4800 / SECTION_IN3)
    assert got["beam_shear"].demand == pytest.approx(1.5 * 1837.5 / (3.0 * 11.25))
    assert got["beam_bearing_on_post"].demand == pytest.approx(2400 / (3.0 * 3.5))
    bare = found(made)["beam_deflection"][0].demand
    assert got["beam_deflection"].demand == pytest.approx(bare * 480 / 400)


def test_a_stair_past_the_last_post_bends_the_beam_over_it_and_holds_nothing_up() -> None:
    """8 ft and an overhang of 4 ft, stair of 900 lb from 9 to 12 ft: M = 500 x 4^2 / 2 + 900 x 2.5 = 6,250 lb-ft.

    The span itself is worst without the stair: its middle is no less bent than the bare beam's. Post 2 takes
    500 x 12 x 6 / 8 + 900 x 10.5 / 8 = 5,681.25 lb.
    """
    made = beam((0.0, 8.0), 12.0)
    over, bare = found(made, stair(9.0, 12.0, 900.0)), found(made)
    assert over["beam_bending"][0].demand == pytest.approx(12 * 6250 / SECTION_IN3)
    assert over["beam_bearing_on_post"][0].demand == pytest.approx(5681.25 / 10.5)
    span, overhang = over["beam_deflection"]
    assert span.demand >= bare["beam_deflection"][0].demand
    assert overhang.demand > bare["beam_deflection"][1].demand


def test_a_short_overhang_with_a_stair_does_not_spare_the_span() -> None:
    """Live on the span and no stair on the overhang is the worst for the span, whatever the stair weighs."""
    made = beam((0.0, 10.0), 11.0)
    light, bare = found(made, stair(10.0, 11.0, 100.0)), found(made)
    dead_share = (
        20.0 * 0.5
    )  # lb-ft: half of 20 lb of dead load of the stair, half a foot out, reaches midspan
    least = bare["beam_bending"][0].demand - 12 * dead_share / SECTION_IN3
    assert least <= light["beam_bending"][0].demand <= bare["beam_bending"][0].demand


def test_a_stair_narrower_than_the_beam_is_deep_is_a_point_for_shear() -> None:
    """All of 500 x 8 / 2 + 1,000 lb x 7.75 / 8 counts at the post (NDS 3.4.3.1 leaves out spread loads only)."""
    (shear,) = found(beam((0.0, 8.0), 8.0), stair(0.0, 0.5, 1000.0))["beam_shear"]
    assert shear.demand == pytest.approx(1.5 * (2000 + 968.75) / (3.0 * 11.25))


def test_a_joined_beam_bears_its_stair_span_by_span() -> None:
    """Plies joined over post 2 of three, stair of 800 lb along the second span: M = 600 x 8^2 / 8 = 4,800 lb-ft."""
    made = beam((0.0, 8.0, 16.0), 16.0, Splice(1, "main.post-1-2"))
    whole, first, second = (one.demand for one in found(made, stair(8.0, 16.0, 800.0))["beam_bending"])
    assert first == pytest.approx(12 * 4000 / SECTION_IN3)
    assert second == pytest.approx(12 * 4800 / SECTION_IN3)
    assert whole > found(made)["beam_bending"][0].demand


def test_two_stairs_stand_together_or_each_alone() -> None:
    """Over a middle post both count: three-moment, M2 = -w L2 / 8 with 600 plf on both of two spans of 8 ft."""
    made = beam((0.0, 8.0, 16.0), 16.0)
    both = found(made, stair(0.0, 8.0, 800.0), stair(8.0, 16.0, 800.0))
    assert both["beam_bending"][0].demand == pytest.approx(12 * 4800 / SECTION_IN3)
    assert both["beam_bearing_on_post"][0].demand == pytest.approx(1.25 * 600 * 8 / 10.5)


def test_a_beam_that_fails_only_under_its_stair_is_not_answered_as_prescriptive() -> None:
    """7 ft: 500 x 7^2 / 8 = 3,062.5 lb-ft, 581 psi; a stair of 2,100 lb along it: 4,900 lb-ft, 929 psi, over capacity.

    Where calculation decides, that forbids it; where the table permits the span, it is an engineer's (over 1.15).
    """
    made = beam((0.0, 7.0), 7.0)
    by_table = at_most(
        made.id, "beam_span", "table", 96.0, 100.0, "in", own_convention("a row that permits it")
    )
    for stairs, alone, beside_table in (
        ((), "prescriptive", "prescriptive"),
        ((stair(0.0, 7.0, 2100.0),), "not_permitted", "engineer_required"),
    ):
        lines = tuple(one for one in found(made, *stairs)["beam_bending"])
        assert verdict(Judged(lines), 1.15).status == alone
        assert verdict(Judged((by_table, *lines)), 1.15).status == beside_table


def test_an_end_post_under_a_stair_on_the_overhang_bears_what_its_own_span_brings() -> None:
    """20 ft of 500 plf, posts at 2, 10 and 18 ft, plies joined over post 2, a stair of 3,000 lb on 0 to 3 ft.

    Its end piece is 10 ft on posts at 2 and 10: 5,000 x 5 / 8 + 3,000 x 8.5 / 8 = 3,125 + 3,187.5 = 6,312.5 lb; as
    one piece the spans beyond leave it less.
    """
    made, on_it = beam((2.0, 10.0, 18.0), 20.0, Splice(1, "main.post-1-2")), stair(0.0, 3.0, 3000.0)
    (joined,) = found(made, on_it)["beam_bearing_on_post"]
    (one_piece,) = found(beam((2.0, 10.0, 18.0), 20.0), on_it)["beam_bearing_on_post"]
    assert joined.demand * 10.5 == pytest.approx(6312.5)
    assert next(one.value for one in joined.working if one.symbol == "R") == pytest.approx(6312.5)
    assert one_piece.demand * 10.5 == pytest.approx(6122, abs=1)
