"""Footing sizes against the cells printed in the International Residential Code, Table R507.3.1.

Read as adopted by states; the cells are taken from the reference copy by a committed seed, the rest by hand.
Sizes are whole inches, so they have to match exactly.
"""

from __future__ import annotations

import csv
import hashlib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from service.contract.report_comparison import CodedText
from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts, parse_facts
from service.foundations.method import FootingMethod, Sized
from service.foundations.methods.belled_pier import BelledPier
from service.foundations.methods.pad_and_pier import PadAndPier
from service.foundations.methods.post_on_buried_pad import PostOnBuriedPad
from service.foundations.methods.tube_form_pier import TubeFormPier
from service.foundations.site import Site
from service.rules.rulebook import Rulebook, build_rulebook
from service.sizing.criteria import Criteria, Ground
from service.sizing.footings import FootingSize, footing_size, table_cells
from service.store.bundled import bundled

REFERENCE = Path(__file__).parent / "reference" / "code" / "footing_sizes.csv"
SEED = 507_3_1
CELLS_AN_EDITION = 20
EDITIONS = ("2018", "2021", "2024")
TABLE = "IRC-{}-Table-R507.3.1"
PIER_IN = 35.0


def _printed() -> list[dict[str, str]]:
    with REFERENCE.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def _draw(row: dict[str, str]) -> str:
    return hashlib.sha256(f"{SEED}{sorted(row.items())}".encode()).hexdigest()


def _chosen() -> list[dict[str, str]]:
    drawn = sorted((row for row in _printed() if row["flag"] != "suspect"), key=_draw)
    return [r for e in EDITIONS for r in [row for row in drawn if row["edition"] == e][:CELLS_AN_EDITION]]


def _id(row: dict[str, str]) -> str:
    cell = f"{row['load_psf']}psf-{row['tributary_area_sqft']}sqft-{row['soil_bearing_psf']}psf-soil"
    return f"{TABLE.format(row['edition'])}-{cell}"


@cache
def _books() -> dict[str, Rulebook]:
    return {book.id: book for book in (build_rulebook(one.meta, one.tables) for one in bundled().rulebooks)}


def _criteria(edition: str, load_psf: float = 40.0, soil_psf: float = 1500.0) -> Criteria:
    books = _books()
    return Criteria(
        rulebook=books[f"irc-{edition}"], guide=books["dca-6"], jurisdiction=None, live_psf=40.0, dead_psf=10.0,
        snow_psf=load_psf, table_load_psf=int(load_psf), species="southern_pine",
        species_group="southern_pine", grade="no_2", coating="hot_dip_galvanized",
        ground=Ground(32.0, "clay", soil_psf, None, None, None, None, "type_c", True),
    )  # fmt: skip


def _size(edition: str, area_sqft: float, **given: Any) -> FootingSize:
    criteria = _criteria(edition, **given)
    found = footing_size(criteria, area_sqft * criteria.design_psf, PIER_IN)
    assert isinstance(found, FootingSize)
    return found


def _three(size: FootingSize) -> tuple[float, float, float]:
    return size.square_in, size.round_in, size.thickness_in


@pytest.mark.parametrize("row", _chosen(), ids=_id)
def test_printed_cell(row: dict[str, str]) -> None:
    size = _size(
        row["edition"],
        float(row["tributary_area_sqft"]),
        load_psf=float(row["load_psf"]),
        soil_psf=float(row["soil_bearing_psf"]),
    )
    assert size.basis == "table"
    printed = (row["square_side_in"], row["round_diameter_in"], row["thickness_in"])
    assert _three(size) == tuple(float(cell) for cell in printed)
    assert size.size_citation.table == "Table R507.3.1"
    assert not size.engineer


# edition, area sq ft, load psf, soil psf, square, round, thickness; between printed rows, up to the next inch
BETWEEN = [
    ("2018", 50, 40, 1500, 16, 18, 6), ("2018", 90, 40, 1500, 21, 24, 8), ("2018", 70, 40, 2000, 16, 18, 6),
    ("2021", 50, 40, 1500, 16, 18, 6), ("2021", 130, 40, 1500, 25, 28, 10), ("2021", 30, 40, 1500, 12, 14, 6),
    ("2024", 150, 40, 1500, 27, 30, 11), ("2024", 110, 40, 3000, 16, 18, 6), ("2024", 45, 40, 1500, 15, 17, 6),
]  # fmt: skip


@pytest.mark.parametrize(
    "case", BETWEEN, ids=lambda c: f"{TABLE.format(c[0])}-between-rows-{c[1]}sqft-{c[2]}psf-{c[3]}psf-soil"
)
def test_between_rows(case: tuple[str, float, float, float, float, float, float]) -> None:
    edition, area, load, soil, *printed = case
    assert _three(_size(edition, area, load_psf=load, soil_psf=soil)) == tuple(printed)


# the next lower soil column; under the first row that row: edition, area, soil given, square, round, thickness
EDGES = [
    ("2018", 60, 2400, 15, 17, 6), ("2018", 60, 2600, 13, 15, 6), ("2021", 60, 2600, 15, 17, 6),
    ("2021", 60, 12000, 12, 14, 6), ("2018", 8, 1500, 12, 14, 6), ("2021", 3, 1500, 7, 8, 6),
]  # fmt: skip


@pytest.mark.parametrize("case", EDGES, ids=lambda c: f"{TABLE.format(c[0])}-edge-{c[1]}sqft-{c[2]}psf-soil")
def test_columns_and_first_row(case: tuple[str, float, float, float, float, float]) -> None:
    edition, area, soil, *printed = case
    assert _three(_size(edition, area, soil_psf=soil)) == tuple(printed)


@pytest.mark.parametrize("edition", EDITIONS, ids=lambda e: f"{TABLE.format(e)}-last-row-160sqft")
def test_nothing_is_read_past_the_last_row(edition: str) -> None:
    assert _size(edition, 160.0).basis == "table"
    past = _size(edition, 160.5)
    assert past.basis == "calculated"
    assert [said.code for said in past.engineer] == ["footing_above_table"]
    assert past.round_in >= _size(edition, 160.0).round_in


# printed out of family: edition, load, soil, area, (printed, likely) and what a design takes
SUSPECT = [
    (edition, *rest)
    for edition in ("2021", "2024")
    for rest in ((40, 2000, 20, "round", 9, 10, 10), (60, 2000, 40, "thickness", 8, 6, 8))
]


@pytest.mark.parametrize(
    "case", SUSPECT, ids=lambda c: f"{TABLE.format(c[0])}-suspect-{c[1]}psf-{c[3]}sqft-{c[2]}psf-soil-{c[4]}"
)
def test_suspect_cell_takes_the_larger(case: tuple[str, int, int, int, str, int, int, int]) -> None:
    edition, load, soil, area, which, printed, likely, used = case
    cells = table_cells(_criteria(edition, load, soil), float(area))
    assert cells is not None
    reading = cells.round if which == "round" else cells.thickness
    assert reading.suspect
    assert [step.value for step in reading.steps] == [printed, likely, used]
    assert reading.steps[1].symbol == f"likely_{reading.column}"
    size = _size(edition, area, load_psf=load, soil_psf=soil)
    assert (size.round_in if which == "round" else size.thickness_in) == used
    assert "table_row_suspect" in [said.code for said in size.cautions]


# IRC 2015 prints no deck footing table: bearing area, at least the first cells of the 2018 table
CALCULATED = [(20, 12, 14, 6), (40, 14, 16, 6), (100, 22, 25, 8), (160, 28, 32, 11)]


@pytest.mark.parametrize("case", CALCULATED, ids=lambda c: f"IRC-2015-R507-no-footing-table-{c[0]}sqft")
def test_edition_without_a_table_is_calculated(case: tuple[float, float, float, float]) -> None:
    area, *sizes = case
    size = _size("2015", area)
    assert size.basis == "calculated"
    assert _three(size) == tuple(sizes)
    assert [said.code for said in size.cautions] == ["no_footing_table"]
    assert not size.engineer


def test_soil_under_the_least_presumptive_value_needs_an_engineer() -> None:
    for edition in ("2015", *EDITIONS):
        assert [said.code for said in _size(edition, 40.0, soil_psf=1400.0).engineer] == [
            "soil_needs_engineer"
        ]


def test_soil_without_bearing_has_no_size() -> None:
    found = footing_size(_criteria("2021", soil_psf=0.0), 2000.0, PIER_IN)
    assert isinstance(found, CodedText)
    assert found.code == "bearing_too_low"


# every poured method, and the form of which it takes the size
POURED: list[tuple[FootingMethod, str]] = [
    (TubeFormPier(), "round_diameter_in"), (PadAndPier(), "square_side_in"), (BelledPier(), "round_diameter_in"),
    (PostOnBuriedPad(), "round_diameter_in"),
]  # fmt: skip


@cache
def _facts() -> FoundationFacts:
    folder = Path(__file__).parents[2] / "service" / "rulebooks" / "foundations"
    return parse_facts({file.stem: file.read_text(encoding="utf-8") for file in folder.glob("*.csv")})


def _served(
    method: FootingMethod, edition: str, area_sqft: float, load_psf: float, soil_psf: float
) -> Sized | None:
    criteria = _criteria(edition, load_psf, soil_psf)
    load_lb = area_sqft * criteria.design_psf
    demand = Demand(
        "main.footing-1-1", "F1-1", "main.post-1-1", "main.post-1-1", 4.0, 40.0, load_lb, load_lb, "6x6", 0.0, True,
        post_height_in=30.0,
    )  # fmt: skip
    found = method.size(demand, Site(criteria, _facts()))
    return found if isinstance(found, Sized) else None


@pytest.mark.parametrize("method", POURED, ids=lambda one: one[0].name)
@pytest.mark.parametrize("row", _chosen(), ids=_id)
def test_printed_cell_through_a_method(row: dict[str, str], method: tuple[FootingMethod, str]) -> None:
    poured, column = method
    area, load, soil = (float(row[key]) for key in ("tributary_area_sqft", "load_psf", "soil_bearing_psf"))
    found = _served(poured, row["edition"], area, load, soil)
    if found is None:  # the widest bell form for a 12 in tube is 42 in, the widest base 48 in
        assert float(row[column]) > 42.0
        return
    by_table = {f.check: f for f in found.findings if f.basis == "table"}
    size = by_table["footing_size"]
    assert size.capacity == float(row[column])
    assert size.citation.column == column
    assert size.passes
    assert by_table["footing_thickness"].passes
    assert (by_table["footing_thickness"].capacity or 0.0) >= float(row["thickness_in"])


# E23 to E28 of the collected examples: IRC 2018 Table R507.3.1, 40 psf live, 1500 psf: area, square, round, thickness
COLLECTED = [
    (20, 12, 14, 6), (40, 14, 16, 6), (60, 17, 19, 6), (80, 20, 22, 7), (100, 22, 25, 8), (160, 28, 31, 11),
]  # fmt: skip


@pytest.mark.parametrize("case", COLLECTED, ids=lambda c: f"IRC-2018-Table-R507.3.1-collected-{c[0]}sqft")
def test_collected_cells(case: tuple[float, float, float, float]) -> None:
    area, *sizes = case
    assert _three(_size("2018", area)) == tuple(sizes)


@pytest.mark.parametrize("method", POURED, ids=lambda one: f"IRC-2015-no-footing-table-{one[0].name}")
def test_an_edition_without_a_table_through_a_method(method: tuple[FootingMethod, str]) -> None:
    found = _served(method[0], "2015", 100.0, 40.0, 1500.0)
    assert found is not None
    (size,) = [f for f in found.findings if f.check == "footing_size"]
    # 5000 lb on 1500 psf: 21.9 in square, 24.7 in round
    assert (size.basis, size.capacity) == ("calculated", 22.0 if method[1] == "square_side_in" else 25.0)
    assert "no_footing_table" in [caution.code for caution in found.cautions]


def test_77_ill_adm_code_870_table_b_3200_lb_on_4000_psf_takes_the_least_144_sq_in() -> None:
    criteria = _criteria("2015", soil_psf=4000.0)
    found = footing_size(criteria, 3200.0, PIER_IN)
    assert isinstance(found, FootingSize)
    assert found.square_in**2 == 144.0
