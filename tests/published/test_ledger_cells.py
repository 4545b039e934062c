"""Ledger fastener spacings against the cells printed in the International Residential Code.

Read as adopted by states (two sources each, see the rulebooks' sources tables); the 40 psf cells also stand in
Wisconsin SPS 320-325 Appendix B Table 6. Spacings are whole inches, so they have to match exactly.
"""

from __future__ import annotations

from functools import cache

import pytest

from service.connections.ledger_fasteners import FastenerPlan, LedgerRun, plan_fasteners
from service.rules.rulebook import Rulebook, build_rulebook
from service.sizing.criteria import Criteria, Ground
from service.sizing.ledger import FastenerOption, ledger_spacing
from service.store.bundled import bundled

TABLES = {
    "2015": "Table-R507.2",
    "2018": "Table-R507.9.1.3(1)",
    "2021": "Table-R507.9.1.3(1)",
    "2024": "Table-R507.9.1.3(1)",
}
LAG, BOLT, WASHERS = (
    FastenerOption("lag_screw_1/2", 0.5),
    FastenerOption("bolt_1/2", 0.5),
    FastenerOption("bolt_1/2", 1.0),
)
NAMES = {LAG: "lag", BOLT: "bolt", WASHERS: "bolt-1in-sheathing"}

# edition, load psf, fastener, joist span ft, printed spacing in
CELLS = [
    ("2015", 40, LAG, 6, 30), ("2015", 40, LAG, 12, 15), ("2015", 40, LAG, 18, 10),
    ("2015", 40, BOLT, 8, 36), ("2015", 40, BOLT, 14, 24), ("2015", 40, WASHERS, 16, 18),
    ("2018", 40, LAG, 8, 23), ("2018", 40, LAG, 16, 11), ("2018", 40, BOLT, 10, 34),
    ("2018", 40, BOLT, 18, 19), ("2018", 40, WASHERS, 10, 29), ("2018", 40, WASHERS, 18, 16),
    ("2021", 40, LAG, 10, 18), ("2021", 40, BOLT, 12, 29), ("2021", 50, LAG, 6, 29),
    ("2021", 50, LAG, 18, 9), ("2021", 50, WASHERS, 8, 35), ("2021", 60, LAG, 14, 10),
    ("2021", 60, BOLT, 8, 35), ("2021", 60, WASHERS, 18, 13), ("2021", 70, LAG, 18, 7),
    ("2021", 70, BOLT, 10, 25), ("2021", 70, WASHERS, 6, 35),
    ("2024", 40, LAG, 14, 13), ("2024", 40, WASHERS, 14, 21), ("2024", 50, BOLT, 16, 20),
    ("2024", 50, LAG, 12, 14), ("2024", 60, WASHERS, 10, 24), ("2024", 60, BOLT, 18, 15),
    ("2024", 70, LAG, 6, 22), ("2024", 70, BOLT, 14, 17), ("2024", 70, WASHERS, 18, 11),
]  # fmt: skip

# Between rows. 2015 and 2018 print upper bounds of bands; 2021 and 2024 allow straight-line interpolation.
BETWEEN = [
    ("2015", 40, LAG, 8.01, 18.0), ("2015", 40, BOLT, 17.0, 19.0), ("2018", 40, LAG, 11.0, 15.0),
    ("2018", 40, WASHERS, 6.5, 36.0), ("2021", 40, LAG, 11.0, 16.5), ("2021", 40, LAG, 9.0, 20.5),
    ("2021", 60, BOLT, 13.0, 21.5), ("2021", 70, LAG, 17.5, 7.25), ("2024", 50, LAG, 7.0, 25.5),
    ("2024", 40, BOLT, 10.5, 32.75), ("2024", 70, WASHERS, 15.0, 14.0),
]  # fmt: skip

# A span no longer than the first row, 6 ft: that row holds; nothing is read past it.
SHORT = [
    ("2015", 40, LAG, 4.0, 30),
    ("2018", 40, BOLT, 5.0, 36),
    ("2021", 70, LAG, 5.9, 22),
    ("2024", 50, LAG, 2, 29),
]


@cache
def book(name: str) -> Rulebook:
    found = (build_rulebook(one.meta, one.tables) for one in bundled().rulebooks)
    return next(rulebook for rulebook in found if rulebook.id == name)


def rules(edition: str, load_psf: int | None) -> Criteria:
    ground = Ground(32, "clay", 1500, None, None, None, None, "type_c", True)
    pine = "southern_pine"
    return Criteria(
        book(f"irc-{edition}"), book("dca-6"), None, 40, 10, 0, load_psf, pine, pine, "no_2",
        "hot_dip_galvanized", ground,
    )  # fmt: skip


def name(case: tuple[str, int, FastenerOption, float, float]) -> str:
    edition, load, option, span, _ = case
    return f"IRC-{edition}-{TABLES[edition]}-{load}psf-{NAMES[option]}-{span:g}ft"


def read(case: tuple[str, int, FastenerOption, float, float]) -> float | None:
    edition, load, option, span, _ = case
    return ledger_spacing(rules(edition, load), option, span).value


@pytest.mark.parametrize("case", CELLS, ids=name)
def test_printed_cell(case: tuple[str, int, FastenerOption, float, float]) -> None:
    assert read(case) == case[4]


@pytest.mark.parametrize("case", BETWEEN, ids=lambda case: f"{name(case)}-between-rows")
def test_between_rows(case: tuple[str, int, FastenerOption, float, float]) -> None:
    assert read(case) == pytest.approx(case[4], abs=1e-9)


@pytest.mark.parametrize("case", SHORT, ids=lambda case: f"{name(case)}-under-first-row")
def test_under_the_first_row(case: tuple[str, int, FastenerOption, float, float]) -> None:
    assert read(case) == case[4]


@pytest.mark.parametrize("edition", TABLES, ids=lambda edition: f"IRC-{edition}-{TABLES[edition]}-past-18ft")
@pytest.mark.parametrize("option", NAMES, ids=lambda option: NAMES[option])
def test_over_18_ft_is_off_the_table(edition: str, option: FastenerOption) -> None:
    at_limit = ledger_spacing(rules(edition, 40), option, 18.0)
    over = ledger_spacing(rules(edition, 40), option, 18.01)
    assert at_limit.found
    assert (over.value, over.outcome) == (None, "off_table")


@pytest.mark.parametrize("edition", ["2015", "2018"], ids=lambda e: f"IRC-{e}-{TABLES[e]}-50psf-not-printed")
def test_editions_that_stop_at_40_psf(edition: str) -> None:
    assert ledger_spacing(rules(edition, 50), LAG, 10.0).outcome == "off_table"


def plan(edition: str, load: int, sheathing: float, span_ft: float) -> FastenerPlan:
    return plan_fasteners(rules(edition, load), "main.ledger-1", LedgerRun(192, sheathing), span_ft * 12)


@pytest.mark.parametrize("edition", TABLES, ids=lambda edition: f"IRC-{edition}-{TABLES[edition]}-citation")
def test_the_finding_names_its_cell(edition: str) -> None:
    finding = plan(edition, 40, 0.5, 12).findings[0]
    assert (finding.check, finding.demand, finding.capacity, finding.passes) == (
        "ledger_fastener_spacing", 15, 15, True,
    )  # fmt: skip
    rows = {row.name: row.value for row in finding.citation.rows}
    assert rows["joist_span_ft"] == "12"
    assert rows["fastener"] == "lag_screw_1/2"
    assert (finding.citation.edition, finding.citation.column) == (edition, "spacing_oc_in")
    assert (finding.citation.table or "").replace(" ", "-") == TABLES[edition]
    assert finding.citation.status == "two_sources"


def test_an_interpolated_spacing_cites_both_rows_and_is_ordered_in_whole_inches() -> None:
    made = plan("2021", 40, 0.5, 11)  # IRC 2021 Table R507.9.1.3(1): 18 in at 10 ft, 15 in at 12 ft
    assert (made.spacing_in, made.findings[0].capacity) == (16, 16.5)
    cited = [row.value for row in made.findings[0].citation.rows if row.name == "joist_span_ft"]
    assert cited == ["10", "12"]


# IRC Table R507.9.1.3(2) (2015: Table R507.2.1): ledger ends 2 to 5 in.
@pytest.mark.parametrize("edition", TABLES, ids=lambda edition: f"IRC-{edition}-end-distance-2-to-5in")
def test_end_distance(edition: str) -> None:
    made = plan(edition, 40, 0.5, 10)
    assert 2 <= made.places[0].at_in <= 5
    assert 2 <= 192 - made.places[-1].at_in <= 5
    ends = [(one.sense, one.capacity) for one in made.findings if one.check == "ledger_fastener_rows"]
    assert ends == [("at_least", 2), ("at_most", 5)]
