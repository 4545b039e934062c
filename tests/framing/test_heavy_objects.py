"""Heavy objects stand on beams, posts and footings of their own; the rest of the deck stays as it is."""

from __future__ import annotations

import itertools
import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from context import NOWHERE, context, designed, spec_of
from laid import arranged, rectangle_region

from service.contract.report import DesignReport
from service.contract.report_frame import Beam
from service.contract.spec import HeavyObjectSpec
from service.framing.heavy import CLEAR_OF_BEAM_IN, Bed, Footprint, row_sets, strip_under
from service.framing.heavy_load import LEAST_PSF, pressure_of
from service.framing.heavy_statics import reactions
from service.framing.joist_lines import joist_places
from service.framing.region import Meets

WALL = {
    "wall": "wood_band", "foundation_wall": "poured_concrete", "door_sill_height_in": 41.5, "rim_depth_in": 11.25,
    "floor_joist_direction": "toward_deck",
}  # fmt: skip
TUB: dict[str, Any] = {
    "kind": "hot_tub", "x_ft": 6, "y_ft": 3, "width_ft": 7, "length_ft": 7, "filled_weight_lb": 4600, "people": 6,
}  # fmt: skip
PLANTER = {"kind": "planter", "x_ft": 14, "y_ft": 4, "width_ft": 2, "length_ft": 4, "filled_weight_lb": 900}
EXAMPLE = Path(__file__).parents[2] / "openapi" / "examples" / "hot-tub.json"


def bed(kind: str) -> Bed:
    """The joists of a plain deck, 18 ft wide: how deep, where its beams stand, and what it hangs on."""
    depth_in, beams_in, meets, stock_in = BEDS[kind]
    region = rectangle_region(216.0, depth_in, meets)
    laid = arranged(region, beams_in, stock_in=stock_in)
    line = laid.line_at(0, 108.0)
    names = tuple("main.ledger-1" if rest.row is None else f"main.beam-{rest.row + 1}" for rest in line.rests)
    centres = tuple(u for _, u in joist_places(region, 16.0))
    at_house = (meets in ("ledger", "wall"), False)
    return Bed(region.axes, line, names, "main.joists-1", "2x10", 16.0, 30.0, 0.0, 216.0, centres, at_house)


BEDS: dict[str, tuple[float, tuple[float, ...], Meets, float]] = {
    "ledger": (168, (150.0,), "ledger", 240),
    "ledger_two_beams": (240, (96.0, 216.0), "ledger", 240),
    "laps": (240, (96.0, 216.0), "ledger", 192),
    "free": (168, (25.0, 150.0), "wall", 240),
}
PLACES = {"middle": (36.0, 120.0), "over_a_beam": (60.0, 144.0), "at_the_house": (0.0, 84.0)}


@cache
def _report(text: str, priced: bool) -> DesignReport:
    given = json.loads(text)
    where = context(None, given.pop("rulebook", "irc-2021"), priced)
    report: DesignReport = designed(spec_of(**given), where)
    return report


def deck(*things: dict[str, Any], surface_in: float = 40, priced: bool = True, **given: Any) -> DesignReport:
    plain: dict[str, Any] = {
        "house": WALL,
        "levels": [{"width_ft": 20, "projection_ft": 14, "surface_height_in": surface_in}],
        "site": NOWHERE,
        "heavy_objects": list(things),
        **given,
    }
    return _report(json.dumps(plain, sort_keys=True), priced)


def own_beams(report: DesignReport, number: int = 1) -> list[Beam]:
    (level,) = report.levels
    numbers = {f.id.split("-")[1] for f in report.footings if f.serves == f"deck.heavy-{number}"}
    return [beam for beam in level.beams if beam.id.rpartition("-")[2] in numbers]


def texts(report: DesignReport) -> str:
    return " ".join(one.text for one in report.verdict.reasons if one.code == "heavy_object")


CASES = {
    "tub": lambda: deck(TUB),
    "free_standing": lambda: deck(TUB, framing={"attachment": "freestanding"}),
    "in_snow": lambda: deck(TUB, site={**NOWHERE, "ground_snow_load_psf": 70}),
    "2015_hem_fir": lambda: deck(TUB, rulebook="irc-2015", framing={"species": "hem_fir"}),
    "on_piles": lambda: deck(TUB, foundation={"method": "helical_pile"}),
    "low_on_saddles": lambda: deck(TUB, surface_in=24, house={"wall": "none"}),
    "two_objects": lambda: deck(TUB, PLANTER),
    "flush_beam": lambda: deck(TUB, framing={"beam_placement": "flush"}),
}


@pytest.fixture(params=list(CASES))
def framed(request: pytest.FixtureRequest) -> DesignReport:
    return CASES[request.param]()


# Convention of this service: always an engineer's, whatever passes.
def test_it_is_always_an_engineers(framed: DesignReport) -> None:
    assert framed.verdict.status == "engineer_required"
    assert "deck.heavy-1" in {r.member for r in framed.verdict.reasons if r.code == "heavy_object"}


def test_every_beam_stands_on_its_footings_and_they_carry_all_of_it(framed: DesignReport) -> None:
    for beam in own_beams(framed):
        place = beam.id.replace(".beam-", ".footing-") + "-"
        its = [f for f in framed.footings if f.id.startswith(place)]
        assert len(its) == len(beam.supports_ft) >= 2
        length_ft = beam.end_ft[0] - beam.start_ft[0]
        assert sum(f.load_lb for f in its) == pytest.approx(beam.line_load_plf * length_ft, rel=1e-3)


def test_its_footings_carry_the_object_its_people_or_live_load_and_the_deck(framed: DesignReport) -> None:
    its = [f.load_lb for f in framed.footings if f.serves == "deck.heavy-1"]
    assert sum(its) >= 4600 + max(6 * 200, 49 * 40) + 49 * 10


def test_every_post_stands_on_the_footing_of_its_number(framed: DesignReport) -> None:
    posts = {post.id: post for post in framed.posts}
    for footing in framed.footings:
        if footing.post is not None:
            post = posts.pop(footing.post)
            assert footing.id == post.id.replace(".post-", ".footing-")
            assert (footing.x_ft, footing.y_ft) == (post.x_ft, post.y_ft)
            assert post.base
            assert post.cap
    assert posts == {}


def test_a_beam_stands_near_each_edge_of_the_footprint(framed: DesignReport) -> None:
    ys = [beam.start_ft[1] for beam in own_beams(framed)]
    assert 3 <= min(ys) <= 4
    assert 9 <= max(ys) <= 10
    for beam in own_beams(framed):
        assert beam.start_ft[0] <= 6
        assert beam.end_ft[0] >= 13


def test_joists_under_it_run_over_its_beams(framed: DesignReport) -> None:
    (level,) = framed.levels
    names = {beam.id for beam in own_beams(framed)}
    for line in level.joists[0].lines:
        over = {support.member for support in line.supports} & names
        assert over == (names if line.x_ft is not None and 6 <= line.x_ft <= 13 else over)
        places = [support.at_in for support in line.supports]
        assert places == sorted(places)
        gaps = [b - a for a, b in itertools.pairwise(places)]
        assert list(line.spans_in) == pytest.approx(gaps, abs=2e-3)


def test_everything_under_it_is_calculated_and_passes(framed: DesignReport) -> None:
    checks = [c for c in framed.checks if c.member in {b.id for b in own_beams(framed)} | {"deck.heavy-1"}]
    assert {"joist_bending", "joist_shear", "joist_bearing", "joist_deflection"} <= {c.check for c in checks}
    assert {"beam_bending", "beam_shear", "beam_deflection"} <= {c.check for c in checks}
    assert all(c.passes and c.citation.document for c in checks)
    assert {c.basis for c in checks} == {"calculated", "rule"}
    assert all(c.working for c in checks if c.basis == "calculated")


def test_posts_and_beams_of_its_own_are_in_the_order(framed: DesignReport) -> None:
    ordered = {member for piece in framed.takeoff.pieces for member in piece.members}
    assert {beam.id for beam in own_beams(framed)} <= ordered
    assert {post.id for post in framed.posts} <= ordered
    assert not [line for line in framed.takeoff.unpriced if "heavy" in line.item]


def test_methods_are_compared_with_its_footings(framed: DesignReport) -> None:
    for method in framed.footing_comparison.methods:
        if method.footings:
            assert "deck.heavy-1" in {footing.serves for footing in method.footings}


def test_ids_do_not_repeat(framed: DesignReport) -> None:
    (level,) = framed.levels
    on_level = [*(beam.id for beam in level.beams), *(row.id for row in level.blocking)]
    ids = [*on_level, *(post.id for post in framed.posts), *(footing.id for footing in framed.footings)]
    assert len(ids) == len(set(ids))
    assert len({check.id for check in framed.checks}) == len(framed.checks)


@pytest.mark.parametrize("attachment", ["ledger", "freestanding"])
def test_the_deck_itself_stays_as_it_is(attachment: str) -> None:
    """Without prices, so that what its footings cost does not choose another frame for the deck."""
    wish = {"attachment": attachment}
    bare, with_tub = deck(priced=False, framing=wish), deck(TUB, priced=False, framing=wish)
    count = len(bare.levels[0].beams)
    assert with_tub.levels[0].beams[:count] == bare.levels[0].beams
    assert with_tub.levels[0].ledgers == bare.levels[0].ledgers
    assert with_tub.posts[: len(bare.posts)] == bare.posts


@pytest.mark.parametrize("place", list(PLACES))
@pytest.mark.parametrize("kind", list(BEDS))
def test_loads_in_are_reactions_out(kind: str, place: str) -> None:
    under, (near, far) = bed(kind), PLACES[place]
    covers = Footprint(1, 96, 180, near, far)
    load = pressure_of(thing(), 10, 40)
    for rows in row_sets(under, covers):
        found = reactions(under, rows, covers, load)
        total = 50 * BEDS[kind][0] / 12 + load.extra_psf * (far - near) / 12
        assert sum(one.full_plf for one in found.values()) == pytest.approx(total, rel=1e-9)


def test_the_ledger_carries_no_more_than_without_it() -> None:
    under, covers = bed("ledger"), Footprint(1, 96, 180, 36, 120)
    rows = next(iter(row_sets(under, covers)))
    found = reactions(under, rows, covers, pressure_of(thing(), 10, 40))
    assert found[under.line.supports_in[0]].full_plf < under.line.reactions_plf(50)[0]


@pytest.mark.parametrize("place", list(PLACES))
@pytest.mark.parametrize("kind", list(BEDS))
def test_rows_keep_clear_of_the_decks_beams_and_the_house(kind: str, place: str) -> None:
    under = bed(kind)
    sets = list(row_sets(under, Footprint(1, 96, 180, *PLACES[place])))
    assert sets
    for rows in sets:
        assert list(rows) == sorted(rows)
        assert rows[0] >= 18
        assert rows[-1] <= BEDS[kind][0]
        assert min(abs(a - b) for a in rows for b in under.beams_in) >= CLEAR_OF_BEAM_IN - 1e-6


@pytest.mark.parametrize(("left", "right"), [(0, 6), (96, 180), (100, 101), (210, 216), (0, 216)])
def test_beams_reach_under_the_whole_object(left: float, right: float) -> None:
    strip = strip_under(bed("ledger"), Footprint(1, left, right, 36, 120))
    assert strip.start_in <= left
    assert strip.end_in >= right
    assert strip.length_in >= 36
    assert all(strip.start_in < x < strip.end_in for x in strip.centres_in)


def thing(weight_lb: float = 4600, people: int = 6, kind: Any = "hot_tub") -> HeavyObjectSpec:
    return HeavyObjectSpec(
        kind=kind, x_ft=8, y_ft=3, width_ft=7, length_ft=7, filled_weight_lb=weight_lb, people=people
    )


# Common practice, no source: a filled tub, its people and the deck under it come to 90 to 130 psf.
def test_a_usual_tub_weighs_what_is_usual_before_live_load() -> None:
    load = pressure_of(thing(), 10, 40)
    assert 90 <= load.object_psf + load.people_psf + load.dead_psf <= 130
    assert load.total_psf == pytest.approx(4600 / 49 + 10 + 40)


def test_pressure_is_never_under_100_psf_and_counts_what_stays_with_its_duration() -> None:
    assert pressure_of(thing(800, 0), 10, 40).total_psf == LEAST_PSF
    assert pressure_of(thing(30000, 0), 10, 40).total_psf == pytest.approx((30000 / 49 + 10) / 0.9)
    assert pressure_of(thing(4600, 20), 10, 40).total_psf == pytest.approx((4600 + 4000) / 49 + 10)


def test_a_light_thing_gets_no_frame_but_still_a_word() -> None:
    report = deck({**PLANTER, "filled_weight_lb": 60})
    assert report.verdict.status == "engineer_required"
    assert "live load" in texts(report)
    assert own_beams(report) == []
    assert report.takeoff.total is not None
    assert report.takeoff.total.complete


def test_where_no_frame_fits_the_order_is_incomplete_and_the_deck_still_answered() -> None:
    low = {"width_ft": 14, "projection_ft": 11, "surface_height_in": 12}
    report = deck(TUB, house={"wall": "none"}, levels=[low])
    assert report.verdict.status == "engineer_required"
    assert "slab of its own" in texts(report)
    assert report.levels[0].beams
    assert "service.heavy_object_frame.hot_tub" in {line.item for line in report.takeoff.unpriced}
    assert report.takeoff.total is not None
    assert not report.takeoff.total.complete


def test_too_near_the_house_is_said_and_answered() -> None:
    report = deck({**TUB, "y_ft": 0})
    assert "Move it out to 2 ft" in texts(report)
    assert min(beam.start_ft[1] for beam in own_beams(report)) >= 1.5
    assert "near_house_footing" in {one.code for one in report.cautions}


def test_objects_on_each_other_need_one_frame() -> None:
    assert "one frame has to carry both" in texts(deck(TUB, {**TUB, "x_ft": 7}))


def test_what_is_not_in_the_order_is_said() -> None:
    codes = {one.code for one in deck(TUB).cautions}
    assert {"heavy_object_not_in_order", "hot_tub_electrical"} <= codes
    assert "guard_height_from_rim" not in codes
    assert "guard_height_from_rim" in {one.code for one in deck({**TUB, "x_ft": 1}).cautions}


def test_saddles_under_it_are_ordered() -> None:
    report = CASES["low_on_saddles"]()
    saddles = [f for f in report.footings if f.post is None and f.serves == "deck.heavy-1"]
    assert saddles
    members = {m for line in report.takeoff.hardware for m in line.members if line.item.startswith("saddle.")}
    assert {footing.id for footing in saddles} <= members


def test_the_example_is_answered_with_its_frame() -> None:
    given = json.loads(EXAMPLE.read_text("utf-8"))
    given.pop("price_book")
    report = designed(spec_of(**given), context(given["jurisdiction"]))
    assert report.verdict.status == "engineer_required"
    assert len(own_beams(report)) == 2
    assert len([f for f in report.footings if f.serves == "deck.heavy-1"]) == 4
