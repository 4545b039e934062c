"""Each kind of wall, each place a ledger can land, and what the verdict says of it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from service.connections.ledger import LedgerResult

Judge = Callable[..., LedgerResult]

WALLS = [
    # wall, verdict, reason; rules as cited in the trade's notes
    ("wood_band", "prescriptive", None),  # IRC R507.9.1.2
    ("engineered_rim", "prescriptive", None),  # IRC R507.9.1.2
    ("poured_concrete", "engineer_required", "wall_needs_designed_anchors"),  # no table in any edition
    ("grouted_block", "engineer_required", "wall_needs_designed_anchors"),
    ("hollow_block", "not_permitted", "ledger_on_hollow_block"),  # DCA 6 (2012)
    ("brick_veneer", "not_permitted", "ledger_on_veneer"),  # IRC R507.9.1.1
    ("stone_veneer", "not_permitted", "ledger_on_veneer"),
    ("floor_overhang", "not_permitted", "ledger_on_overhang"),  # DCA 6 Figure 18
    ("manufactured_home", "engineer_required", "ledger_on_unknown_wall"),  # IRC R507.8
    ("unknown", "engineer_required", "ledger_on_unknown_wall"),
]


@pytest.mark.parametrize(("wall", "verdict", "reason"), WALLS, ids=[w[0] for w in WALLS])
@pytest.mark.parametrize("edition", ["2015", "2018", "2021", "2024"])
def test_each_wall(judged: Judge, edition: str, wall: str, verdict: str, reason: str | None) -> None:
    result = judged(wall, edition)
    assert result.possible == verdict
    assert [one.code for one in result.reasons] == ([reason] if reason else [])
    assert result.ledger is not None
    assert result.lands_on == wall
    failing = [one.check for one in result.findings if not one.passes]
    assert failing == (["ledger_wall"] if verdict == "not_permitted" else [])


def test_no_wall_no_ledger(judged: Judge) -> None:
    result = judged("none")
    assert (result.possible, result.ledger, result.lands_on) == ("not_permitted", None, None)
    assert [one.passes for one in result.findings] == [False]


@pytest.mark.parametrize("wall", [w[0] for w in WALLS[2:]])
def test_only_a_band_gets_a_table_spacing(judged: Judge, wall: str) -> None:
    ledger = judged(wall).ledger
    assert ledger is not None
    assert (ledger.spacing_in, ledger.fastener_count, ledger.fastener) == (None, 0, "anchor.designed")


def test_worked_example_lands_a_2x10_on_the_band(judged: Judge) -> None:
    result = judged()
    assert result.ledger is not None
    assert result.ledger.row_heights_in == (27.375, 32.375)
    assert result.ledger.spacing_in == 18  # IRC 2021 Table R507.9.1.3(1): 10 ft, lag screws
    assert result.ledger.fastener == "lag_screw.1-2in.4in.hot_dip_galvanized"
    assert result.ledger.fastener_count == 12
    assert len(result.ledger.lateral_devices) == 2
    assert all(one.passes for one in result.findings)


# Band 24.75 to 36 and sill plate down to 23.25, as in the worked example; decking 1 in.
LANDINGS = [
    ("2x10", 44.0, "above_band", "not_permitted", "ledger_outside_band"),
    ("2x10", 36.0, "wood_band", "prescriptive", None),
    ("2x10", 30.0, "straddles", "not_permitted", "ledger_outside_band"),
    ("2x8", 25.5, "sill_plate", "not_permitted", "ledger_outside_band"),
    ("2x8", 24.25, "poured_concrete", "engineer_required", "wall_needs_designed_anchors"),
]


@pytest.mark.parametrize(("size", "surface", "kind", "verdict", "reason"), LANDINGS)
def test_where_it_lands(
    judged: Judge, size: str, surface: float, kind: str, verdict: str, reason: str | None
) -> None:
    result = judged(
        walls={"foundation_wall": "poured_concrete"}, size=size, joist_size=size, surface_height_in=surface
    )
    assert (result.lands_on, result.possible) == (kind, verdict)
    assert [one.code for one in result.reasons] == ([reason] if reason else [])


def test_wholly_on_hollow_block_is_refused(judged: Judge) -> None:
    result = judged(walls={"foundation_wall": "hollow_block"}, surface_height_in=24.0)
    assert result.possible == "not_permitted"
    assert [one.code for one in result.reasons] == ["ledger_on_hollow_block"]


def test_wholly_on_an_unknown_foundation_is_an_engineers(judged: Judge) -> None:
    assert [one.code for one in judged(surface_height_in=24.0).reasons] == ["ledger_on_unknown_wall"]


@pytest.mark.parametrize(
    ("edition", "surface"), [("2015", 31.5), ("2018", 32.0), ("2021", 32.5), ("2024", 33.0)]
)
def test_a_remembered_distance_alone_asks_for_an_engineer(
    judged: Judge, edition: str, surface: float
) -> None:
    # Band bottom + 2 = 26.75: an upper row has room, the lower row is nearer than 5.5 in to a 2x8's top.
    result = judged(edition=edition, size="2x8", joist_size="2x8", surface_height_in=surface)
    assert result.possible == "engineer_required"
    assert [one.code for one in result.reasons] == ["memory_value_decides"]
    assert result.reasons[0].citation is not None
    assert result.reasons[0].citation.status == "memory"
    assert result.lands_on == "wood_band"
    assert all(one.passes for one in result.findings)


def test_a_satisfied_remembered_distance_changes_nothing(judged: Judge) -> None:
    result = judged(
        size="2x8", joist_size="2x8", surface_height_in=33.25
    )  # lower row exactly 5.5 in under the top
    assert result.possible == "prescriptive"
    remembered = [one for one in result.findings if one.citation.status == "memory"]
    assert [(one.demand, one.capacity) for one in remembered] == [(5.5, 5.5)]


@pytest.mark.parametrize("missing", ["door_sill_height_in", "rim_depth_in"])
def test_a_height_not_measured_is_not_proven(judged: Judge, missing: str) -> None:
    result = judged(walls={missing: None})
    assert (result.possible, result.lands_on) == ("engineer_required", None)
    assert [one.code for one in result.reasons] == ["sill_height_missing"]
    assert missing in result.reasons[0].text


def test_a_height_missing_does_not_matter_on_veneer(judged: Judge) -> None:
    result = judged("brick_veneer", walls={"door_sill_height_in": None})
    assert [one.code for one in result.reasons] == ["ledger_on_veneer"]


SHEATHING = [
    (0.5, "lag_screw.1-2in.4in.hot_dip_galvanized", 18.0, False),
    (0.625, "bolt.1-2in.5-1-2in.hot_dip_galvanized", 29.0, True),
    (1.0, "bolt.1-2in.5-1-2in.hot_dip_galvanized", 29.0, True),
]


@pytest.mark.parametrize(("sheathing", "item", "spacing", "washers"), SHEATHING)
def test_sheathing_picks_the_fastener(
    judged: Judge, sheathing: float, item: str, spacing: float, washers: bool
) -> None:
    # IRC 2021 Table R507.9.1.3(1), 40 psf, joist span 10 ft.
    result = judged(walls={"sheathing_thickness_in": sheathing})
    assert result.ledger is not None
    assert (result.ledger.fastener, result.ledger.spacing_in, result.stacked_washers) == (
        item,
        spacing,
        washers,
    )
    assert result.possible == "prescriptive"


@pytest.mark.parametrize("sheathing", [1.0001, 1.5, 6.0])
def test_thicker_sheathing_is_off_the_table(judged: Judge, sheathing: float) -> None:
    result = judged(walls={"sheathing_thickness_in": sheathing})
    assert result.possible == "engineer_required"
    assert [one.code for one in result.reasons] == ["sheathing_off_tables"]
    assert result.ledger is not None
    assert result.ledger.spacing_in is None


@pytest.mark.parametrize(
    ("edition", "rules", "reason"),
    [
        ("2021", {"snow_psf": 80.0, "table_load_psf": None}, "snow_above_tables"),
        ("2018", {"snow_psf": 50.0, "table_load_psf": None}, "snow_above_tables"),
        ("2021", {"live_psf": 60.0, "table_load_psf": None}, "live_load_above_tables"),
    ],
)
def test_loads_past_the_table_give_no_spacing(
    judged: Judge, edition: str, rules: dict[str, float], reason: str
) -> None:
    result = judged(edition=edition, rules=rules)
    assert result.ledger is not None
    assert (result.possible, result.ledger.spacing_in) == ("engineer_required", None)
    assert [one.code for one in result.reasons] == [reason]


@pytest.mark.parametrize("edition", ["2015", "2018"])
def test_a_shallow_engineered_rim_is_its_makers(judged: Judge, edition: str) -> None:
    # IRC 2015 R507.2.2, 2018 R507.9.1.2: at least 1 in by 9.5 in.
    low = judged("engineered_rim", edition, walls={"rim_depth_in": 9.25}, surface_height_in=37.0)
    assert (low.possible, [one.code for one in low.reasons]) == (
        "engineer_required", ["engineered_rim_maker_governs"],
    )  # fmt: skip
    assert judged("engineered_rim", edition, walls={"rim_depth_in": 9.5}).possible == "prescriptive"


def test_a_thin_engineered_rim_is_its_makers(judged: Judge) -> None:
    # IRC 2021 R507.9.1.2: 1 in.
    result = judged("engineered_rim", walls={"rim_thickness_in": 0.875})
    assert [one.code for one in result.reasons] == ["engineered_rim_maker_governs"]
    assert "maker_listing_governs" in {one.code for one in result.cautions}


@pytest.mark.parametrize(
    ("size", "joist", "possible"),
    [("2x8", "2x6", "prescriptive"), ("2x8", "2x10", "not_permitted"), ("2x6", "2x6", "not_permitted")],
)
def test_ledger_depth(judged: Judge, size: str, joist: str, possible: str) -> None:
    # IRC R507.9.1.1: 2x8 at least; as deep as the joists: common practice, no source.
    assert judged(size=size, joist_size=joist).possible == possible


def test_other_species_are_ordered_in_southern_pine(judged: Judge) -> None:
    result = judged(rules={"species": "spruce_pine_fir", "grade": "no_1"})
    assert result.ledger is not None
    assert (result.ledger.species, result.ledger.grade) == ("southern_pine", "no_2")
    assert result.possible == "prescriptive"


def test_a_pinned_species_the_rule_does_not_name_fails(judged: Judge) -> None:
    result = judged(pinned_species="douglas_fir_larch")
    assert result.possible == "not_permitted"
    failed = [one for one in result.findings if not one.passes]
    assert [(one.check, one.would_pass) for one in failed] == [("ledger_size", "southern_pine")]


def test_a_ledger_wholly_on_the_foundation_warns_of_the_step(judged: Judge) -> None:
    low = judged(walls={"foundation_wall": "poured_concrete"}, surface_height_in=24.0)
    assert "ledger_below_band" in {one.code for one in low.cautions}
    assert "ledger_below_band" not in {one.code for one in judged().cautions}


@pytest.mark.parametrize(("kind", "surface"), [("above_band", 44.0), ("straddles", 30.0)])
def test_a_missed_band_says_how_far(judged: Judge, kind: str, surface: float) -> None:
    first = judged(surface_height_in=surface)
    failed = next(one for one in first.findings if not one.passes)
    assert failed.would_pass is not None
    inches = float(failed.would_pass.split()[2])
    moved = surface - inches if kind == "above_band" else surface + inches
    assert judged(surface_height_in=moved).lands_on == "wood_band"
    assert first.lands_on == kind
