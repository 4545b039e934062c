"""Facts of the trade, seen in whole designs. Each says where it comes from: most have no published source."""

from __future__ import annotations

from typing import Any

import pytest
from context import NOWHERE, context, designed, spec_of

from service.checks.judged import Judged
from service.checks.verdict import verdict
from service.contract.report import DesignReport
from service.units.citation import common_practice
from service.units.finding import at_most

COMMON = "common practice, no source"
MEMORY = "from memory"
WALL = {
    "wall": "wood_band",
    "foundation_wall": "poured_concrete",
    "door_sill_height_in": 37.5,
    "rim_depth_in": 11.25,
}
THICK = {"material": "composite", "thickness_in": 1.0}


def deck(edition: str = "2021", **given: Any) -> DesignReport:
    """16 by 12 ft, 36 in up, on a known wall, unless said otherwise."""
    level = {"width_ft": 16, "projection_ft": 12, "surface_height_in": 36, **given.pop("level", {})}
    house = {**WALL, **given.pop("house", {})}
    spec = spec_of(levels=[level], house=house, site={**NOWHERE, **given.pop("site", {})}, **given)
    return designed(spec, context(None, f"irc-{edition}"))


def codes(report: DesignReport) -> set[str]:
    return {reason.code for reason in report.verdict.reasons}


# Common practice, no source: 16 ft of joists is 13 at 16 in and 17 at 12 in.
@pytest.mark.parametrize(("spacing", "count"), [(16, 13), (12, 17)], ids=["13_at_16in", "17_at_12in"])
def test_joists_of_a_16_ft_deck(spacing: int, count: int) -> None:
    joists = deck(framing={"joist_spacing_in": spacing}).levels[0].joists[0]
    assert (joists.count, len(joists.lines)) == (count, count)


# Common practice, no source: every joist, end joists too, hangs on the ledger; concealed flanges at the ends.
def test_every_joist_hangs_on_the_ledger() -> None:
    report = deck(framing={"joist_spacing_in": 16, "attachment": "ledger", "beam_placement": "dropped"})
    hangers = [line for line in report.takeoff.hardware if line.item.startswith("joist_hanger")]
    concealed = {line.item.endswith("concealed_flange"): line.quantity for line in hangers}
    assert concealed == {False: 11, True: 2}


# Convention of this service: joist length is projection less ledger and rim, and less the gap standing free.
def test_joist_length_attached() -> None:
    line = deck(framing={"attachment": "ledger", "beam_placement": "dropped"}).levels[0].joists[0].lines[0]
    assert line.length_in == 144 - 3


@pytest.mark.parametrize(("wall", "gap_in"), [("unknown", 1), ("none", 0)], ids=["gap_1in", "no_wall_no_gap"])
def test_joist_length_standing_free(wall: str, gap_in: int) -> None:
    report = deck(house={"wall": wall}, framing={"attachment": "freestanding", "beam_placement": "dropped"})
    line = report.levels[0].joists[0].lines[0]
    assert line.length_in == 144 - 3 - gap_in
    assert (line.y_start_ft or 0) * 12 == pytest.approx(1.5 + gap_in, abs=0.001)


# Common practice: a free-standing wall-side beam stands a cantilever of at most a quarter of the back span off.
def test_wall_side_beam_of_a_free_standing_deck() -> None:
    report = deck(framing={"attachment": "freestanding", "beam_placement": "dropped"})
    line = report.levels[0].joists[0].lines[0]
    first = report.levels[0].beams[0]
    assert first.start_ft[1] * 12 - 1 == pytest.approx(line.cantilever_house_in, abs=0.001)
    assert 0 < line.cantilever_house_in <= line.spans_in[0] / 4


# Worked example (fastener rows by arithmetic, ledger_placement.csv): sill 37.5, build-up 1.5, rim 11.25, surface
# 36, 1 in boards: a 2x10 lands on the band.
def test_ledger_lands_on_the_band() -> None:
    report = deck(framing={"joist_size": "2x10", "attachment": "ledger"})
    assert (report.attachment.kind, report.attachment.ledger_lands_on) == ("ledger", "wood_band")
    (ledger,) = report.levels[0].ledgers
    lower, upper = ledger.row_heights_in
    top, bottom = 36 - 1.0, 36 - 1.0 - 9.25
    band_top, band_bottom = 37.5 - 1.5, 37.5 - 1.5 - 11.25
    assert lower >= max(bottom + 0.75, band_bottom + 2)
    assert lower <= top - 6.5  # from memory: 6-1/2 in for a 2x10
    assert upper <= min(top - 2, band_top - 0.75)
    assert 1.625 <= upper - lower <= 5
    assert report.verdict.status == "prescriptive"


@pytest.mark.parametrize("surface", [46.0, 60.0], ids=["10in_too_high", "2ft_too_high"])
def test_a_ledger_too_high_is_on_the_studs(surface: float) -> None:
    report = deck(
        level={"surface_height_in": surface}, framing={"attachment": "ledger", "joist_size": "2x10"}
    )
    assert report.verdict.status == "not_permitted"
    assert "ledger_outside_band" in codes(report)


# IRC R311.3: at most 1.5 in below the required exit door's sill, 7-3/4 where the door does not swing over it.
@pytest.mark.parametrize(
    ("swings", "below_in", "passes"),
    [(True, 1.5, True), (True, 1.5625, False), (False, 7.75, True), (False, 7.8125, False)],
    ids=lambda value: str(value),
)
def test_step_at_the_door(swings: bool, below_in: float, passes: bool) -> None:
    report = deck(house={"door_sill_height_in": 36 + below_in, "door_swings_out": swings})
    steps = [check.passes for check in report.checks if check.check == "door_step"]
    assert all(steps) is passes
    assert (report.verdict.status == "not_permitted") is not passes


def test_never_above_the_sill() -> None:
    report = deck(house={"door_sill_height_in": 35.9375})
    assert report.verdict.status == "not_permitted"


# DCA 6: corner posts over 24 in get braces in the plane of the beam; standing free also across it; none between.
@pytest.mark.parametrize(("post_in", "braced"), [(24.0, False), (24.0625, True)], ids=["24in", "24-1-16in"])
@pytest.mark.parametrize("free", [False, True], ids=["attached", "free_standing"])
def test_braces_at_corner_posts(post_in: float, braced: bool, free: bool) -> None:
    surface = post_in + 3 + 9.25 + 9.25 + 1.0
    report = deck(
        level={"surface_height_in": surface, "width_ft": 24},
        house={"door_sill_height_in": surface + 1.5},
        framing={
            "attachment": "freestanding" if free else "ledger", "joist_size": "2x10", "beam_size": "2x10",
            "beam_plies": 2, "beam_placement": "dropped",
        },
    )  # fmt: skip
    assert {post.height_in for post in report.posts} == {post_in}
    braces = report.levels[0].braces
    ways = {brace.direction for brace in braces}
    assert ways == (({"along_beam", "across_beam"} if free else {"along_beam"}) if braced else set())
    last = {beam: max(int(p.id.rsplit("-", 1)[1]) for p in report.posts if p.beam == beam)
            for beam in {p.beam for p in report.posts}}  # fmt: skip
    assert all(int(brace.post.rsplit("-", 1)[1]) in (1, last[brace.beam]) for brace in braces)


# Common practice, no source: a 32 in deep 12 in pier, 3 in out of the ground, takes about six 60 lb bags with 10 %
# waste. The book chosen bags by price, so the volume is counted in 60 lb bags of 0.45 cu ft (bag_yields.csv).
def test_six_bags_in_a_12_in_pier() -> None:
    report = deck(
        site={"frost_depth_in": 32, "soil_class": "sandy_gravel"}, level={"width_ft": 6, "projection_ft": 6},
        foundation={"method": "tube_form_pier", "pier_diameter_in": 12},
    )  # fmt: skip
    for footing in report.footings:
        assert footing.concrete is not None
        assert footing.concrete.depth_below_grade_in == 32
        bags = footing.concrete.volume_cuft * 1.1 / 0.45
        assert 5 <= bags <= 7


# Common practice: one row of blocking in a span over 8 ft, two over 12 ft.
@pytest.mark.parametrize(
    ("span_in", "rows"), [(96, 0), (96.5, 1), (144, 1), (144.5, 2)], ids=lambda v: str(v)
)
def test_rows_of_blocking(span_in: float, rows: int) -> None:
    report = deck(
        level={"projection_ft": (span_in + 3.75) / 12, "surface_height_in": 30, "width_ft": 10},
        house={"door_sill_height_in": 31.5},
        framing={
            "attachment": "ledger", "joist_size": "2x12", "joist_spacing_in": 12, "beam_size": "2x12",
            "beam_plies": 3, "beam_placement": "flush",
        },
    )  # fmt: skip
    (line, *_) = report.levels[0].joists[0].lines
    assert line.spans_in == (span_in,)
    pieces = sum(block.count for block in report.levels[0].blocking if "span" in block.because)
    assert pieces == rows * (report.levels[0].joists[0].count - 1)


# Composite boards have no table row; 16 in square and 12 in at an angle until the label is read (common practice).
@pytest.mark.parametrize(("angle", "spacing"), [(0, 16), (45, 12)], ids=["square_16in", "angled_12in"])
def test_joists_under_composite_boards(angle: int, spacing: int) -> None:
    report = deck(level={"decking": {"material": "composite", "angle_deg": angle}})
    check = next(c for c in report.checks if c.check == "joist_spacing_for_decking")
    assert (check.capacity, check.citation.status) == (spacing, "common_practice")
    assert report.levels[0].joists[0].spacing_in <= spacing
    assert "maker_listing_governs" in {caution.code for caution in report.cautions}


# Heights: a beam that does not leave 4 in for a post sits in a saddle on the pier; under zero it does not fit.
@pytest.mark.parametrize(
    ("room_in", "posts"), [(4.0, True), (3.9375, False)], ids=["post_4in", "saddle_under_4in"]
)
def test_no_post_under_4_in(room_in: float, posts: bool) -> None:
    report = deck(
        level={"surface_height_in": 3 + room_in + 9.25 + 7.25 + 1, "width_ft": 10},
        house={"wall": "none"},
        framing={"joist_size": "2x8", "beam_size": "2x10", "beam_plies": 2, "beam_placement": "dropped"},
    )
    assert bool(report.posts) is posts
    assert all((footing.post is not None) is posts for footing in report.footings)


# Live and snow are never added (IRC R301.5 and the tables' own loads): 10 dead with the greater of the two.
@pytest.mark.parametrize(("snow", "design"), [(0, 50), (40, 50), (41, 51), (70, 80)], ids=lambda v: str(v))
def test_loads_are_never_added(snow: float, design: float) -> None:
    loads = deck("2021", site={"ground_snow_load_psf": snow}).loads
    assert (loads.design_psf, loads.governing) == (design, "snow" if snow > 40 else "live")


# 2015 and 2018 stop at 40 psf of snow, 2021 on at 70 (the tables' own titles).
@pytest.mark.parametrize(("edition", "last"), [("2015", 40), ("2018", 40), ("2021", 70), ("2024", 70)])
def test_snow_past_the_tables_is_an_engineers(edition: str, last: float) -> None:
    assert "snow_above_tables" not in codes(deck(edition, site={"ground_snow_load_psf": last}))
    over = deck(edition, site={"ground_snow_load_psf": last + 1})
    assert "snow_above_tables" in codes(over)
    assert over.verdict.status == "engineer_required"
    assert over.levels[0].beams


# What nobody may hang a ledger on: veneer (IRC R507.9.1.1), hollow block and overhangs (DCA 6).
@pytest.mark.parametrize(
    ("wall", "code"),
    [
        ("brick_veneer", "ledger_on_veneer"), ("stone_veneer", "ledger_on_veneer"),
        ("hollow_block", "ledger_on_hollow_block"), ("floor_overhang", "ledger_on_overhang"),
    ],
)  # fmt: skip
def test_walls_that_take_no_ledger(wall: str, code: str) -> None:
    pinned = deck(house={"wall": wall}, framing={"attachment": "ledger"})
    assert pinned.verdict.status == "not_permitted"
    assert code in codes(pinned)
    assert pinned.alternatives
    free = deck(house={"wall": wall})
    assert free.attachment.kind == "freestanding"
    assert free.verdict.status == "prescriptive"


# R507.8 and the contract: on an unknown wall the deck stands free, whatever else asks for an engineer.
@pytest.mark.parametrize("snow", [0, 60, 90], ids=lambda snow: f"{snow}psf_snow")
def test_on_an_unknown_wall_the_deck_stands_free(snow: int) -> None:
    report = deck(
        "2024",
        house={"wall": "unknown"},
        level={"width_ft": 20, "projection_ft": 14, "surface_height_in": 40},
        site={"ground_snow_load_psf": snow},
        framing={"species": "hem_fir"},
    )
    assert report.attachment.kind == "freestanding"


def test_a_ledger_on_an_unknown_wall_is_an_engineers() -> None:
    asked = deck(house={"wall": "unknown"}, framing={"attachment": "ledger"})
    assert asked.verdict.status == "engineer_required"
    assert "ledger_on_unknown_wall" in codes(asked)


# Convention of this service: what is heavy always goes to an engineer.
def test_a_hot_tub_is_an_engineers() -> None:
    tub = {"kind": "hot_tub", "x_ft": 4, "y_ft": 2, "width_ft": 7, "length_ft": 7, "filled_weight_lb": 4600}
    report = deck(heavy_objects=[tub])
    assert report.verdict.status == "engineer_required"
    assert "heavy_object" in codes(report)


# IRC 2015 prints no footing table: calculated, and said.
def test_2015_footings_are_calculated_and_said() -> None:
    report = deck("2015", foundation={"method": "tube_form_pier"})
    assert "no_footing_table" in {caution.code for caution in report.cautions}
    assert {c.basis for c in report.checks if c.check == "footing_size"} == {"calculated"}


@pytest.mark.parametrize("diameter", [12, 14, 16, 18], ids=lambda d: f"pier_{d}in")
def test_2015_pier_too_small_for_its_load_never_passes(diameter: int) -> None:
    """Where no table covers it the calculation decides: there is no permitting table that it may exceed."""
    report = deck("2015", foundation={"method": "tube_form_pier", "pier_diameter_in": diameter})
    small = [c for c in report.checks if c.check == "footing_size" and not c.passes]
    assert not small or report.verdict.status != "prescriptive"


# Common practice, no source: boards come up to 20 ft; joists longer than any board lap over a beam.
@pytest.mark.parametrize("projection", [19.0, 22.0, 26.0], ids=lambda p: f"{p:g}ft")
def test_joists_are_no_longer_than_boards_come(projection: float) -> None:
    report = deck(house={"wall": "none"}, level={"projection_ft": projection})
    joists = [
        p for p in report.takeoff.pieces if "main.joists-1" in p.members and p.item.startswith("lumber.")
    ]
    assert max(piece.length_in for piece in joists) <= 240


def test_a_low_deck_with_joined_plies_is_answered() -> None:
    """Over saddles a ply is joined on a footing, which then is what the splice names."""
    report = deck(
        house={"wall": "none"}, level={"width_ft": 35, "projection_ft": 5, "surface_height_in": 12},
        framing={"species": "hem_fir"}, site={"ground_snow_load_psf": 50},
    )  # fmt: skip
    named = {splice.at_post for beam in report.levels[0].beams for splice in beam.splices}
    assert named <= {footing.id for footing in report.footings}


def test_a_flush_free_standing_deck_away_from_any_house_is_answered() -> None:
    report = deck(
        house={"wall": "none"}, level={"surface_height_in": 48}, framing={"beam_placement": "flush"}
    )
    assert len(report.levels[0].guards) == 4


# 2015 prints post heights for any species: a 6x6 of redwood needs no calculation.
@pytest.mark.parametrize("species", ["redwood", "western_cedar", "ponderosa_pine", "red_pine"])
def test_2015_frames_every_species_of_its_tables(species: str) -> None:
    assert deck("2015", framing={"species": species}).levels[0].beams


def test_a_pinned_post_that_fails_drags_no_other_member_down() -> None:
    """The frame answered for a pin that can't stand fails at the pin alone."""
    report = deck(
        "2018", level={"surface_height_in": 130}, house={"door_sill_height_in": 131.5},
        framing={"post_size": "4x4", "attachment": "ledger"},
    )  # fmt: skip
    failing = {check.check for check in report.checks if not check.passes}
    assert failing <= {"post_height"}


# Convention of this service: beside a permitting table a calculation over 1.15 of capacity is an engineer's.
@pytest.mark.parametrize(
    ("ratio", "status"), [(1.15, "prescriptive"), (1.16, "engineer_required")], ids=lambda v: str(v)
)
def test_a_calculation_over_its_limit_is_an_engineers(ratio: float, status: str) -> None:
    permitted = at_most("main.beam-1", "beam_span", "table", 96.0, 96.0, "in", common_practice("a table"))
    beside = at_most(
        "main.beam-1", "beam_bending", "calculated", 1000 * ratio, 1000.0, "psi", common_practice("a sum")
    )
    assert verdict(Judged((permitted, beside)), 1.15).status == status


# The tables are for 40 psf live (their own titles).
@pytest.mark.parametrize("edition", ["2015", "2018", "2021", "2024"])
def test_live_load_past_the_tables_is_an_engineers(edition: str) -> None:
    assert "live_load_above_tables" not in codes(deck(edition, site={"live_load_psf": 40}))
    over = deck(edition, site={"live_load_psf": 41})
    assert "live_load_above_tables" in codes(over)
    assert over.verdict.status == "engineer_required"
