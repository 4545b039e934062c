"""The deck tables of the code, read as what NDS calculation gives: counts of cells, and every miss named.

Each test names the table. A count here is what the calculation reaches; a printed figure is never changed.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterator
from functools import cache
from importlib import resources
from pathlib import Path

import pytest

from service.sizing.calculated_beams import (
    beam_span_2018,
    beam_span_2021,
    beam_span_2024,
    effective_joist_span_ft,
)
from service.sizing.calculated_footings import footing_cell
from service.sizing.calculated_joists import (
    joist_cantilever_2018,
    joist_cantilever_2021,
    joist_overhang_dca6,
    joist_span,
    joist_span_with_cantilever_2015,
    printed_as,
)
from service.sizing.calculated_ledger import ledger_spacing
from service.sizing.calculated_posts import post_height, post_height_2021
from service.sizing.calculated_result import Allowable
from service.timber.refusal import NoRule
from service.timber.values import TimberData, parse_timber

TABLES = Path(__file__).parent / "reference" / "code"
JOINT = "df_hf_spf_and_redwood_cedar_ponderosa_red_pine"
Row = dict[str, str]


@cache
def timber() -> TimberData:
    folder = resources.files("service.rulebooks") / "timber"
    return parse_timber((folder / "design_values.csv").read_text(), (folder / "factors.csv").read_text())


@cache
def table(name: str) -> tuple[Row, ...]:
    with (TABLES / f"{name}.csv").open(newline="") as text:
        return tuple(csv.DictReader(text))


def rows(name: str, *editions: str) -> Iterator[Row]:
    found = [row for row in table(name) if row["edition"] in editions]
    assert found
    yield from found


def kind(row: Row) -> str:
    return "snow" if float(row["load_psf"]) > 40 else "live"


def inches(answer: Allowable | NoRule) -> float:
    assert isinstance(answer, Allowable), answer
    return answer.printed


def tally(differences: list[float]) -> tuple[int, int, int]:
    """Cells, cells exact, cells within one inch."""
    return len(differences), differences.count(0), sum(abs(d) <= 1 for d in differences)


def joist(row: Row, species: str | None = None) -> Allowable | NoRule:
    return joist_span(
        timber(), species or row["species_group"], row["nominal_size"], float(row["spacing_in"]),
        float(row["load_psf"]), kind(row),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("edition", "cells"), [("2021", 144), ("2024", 144)], ids=lambda v: f"IRC-R507.6-joist-spans-{v}"
)
def test_joist_spans_exact(edition: str, cells: int) -> None:
    off = [inches(joist(row)) - float(row["max_span_in"]) for row in rows("joist_spans", edition)]
    assert tally(off) == (cells, cells, cells)


@pytest.mark.parametrize("edition", ["2015", "2018"], ids=lambda v: f"IRC-R507.6-joist-spans-{v}")
def test_joist_spans_but_three_2x6(edition: str) -> None:
    missed = {
        (row["nominal_size"], row["spacing_in"], row["max_span_in"]): inches(joist(row))
        for row in rows("joist_spans", edition)
        if inches(joist(row)) != float(row["max_span_in"])
    }
    assert missed == {("2x6", "16", "104"): 100, ("2x6", "24", "86"): 82, ("2x6", "24", "84"): 82}
    for row in rows("joist_spans", edition):
        species = printed_as(edition, row["species_group"], row["nominal_size"])
        assert inches(joist(row, species)) == float(row["max_span_in"])


def test_joist_spans_dca6_2012_table_2() -> None:
    groups = {"southern_pine", "douglas_fir_larch_hem_fir_spruce_pine_fir"}
    found = table("dca6_joist_spans")
    assert groups <= {row["species_group"] for row in found}
    off = [inches(joist({**row, "load_psf": "40"})) - float(row["max_clear_span_in"]) for row in found]
    assert tally(off) == (36, 36, 36)


def test_joist_overhangs_dca6_2012_table_2() -> None:
    off = []
    for row in table("dca6_joist_spans"):
        span = joist({**row, "load_psf": "40"})
        assert isinstance(span, Allowable)
        answer = joist_overhang_dca6(timber(), row["species_group"], row["nominal_size"], span)
        off.append(inches(answer) - float(row["max_overhang_in"]))
    assert tally(off) == (36, 31, 36)


def test_cantilevers_irc_2018_r507_6() -> None:
    off = [
        inches(
            joist_cantilever_2018(
                timber(), row["species_group"], row["nominal_size"], float(row["max_span_in"])
            )
        )
        - float(row["max_cantilever_in"])
        for row in rows("joist_spans", "2018")
    ]
    assert tally(off) == (36, 32, 36)


def test_spans_with_cantilever_irc_2015_r507_5() -> None:
    off = [
        inches(
            joist_span_with_cantilever_2015(
                timber(), row["species_group"], row["nominal_size"], float(row["max_span_in"])
            )
        )
        - float(row["max_span_with_cantilever_in"])
        for row in rows("joist_spans", "2015")
    ]
    assert tally(off) == (36, 36, 36)


@pytest.mark.parametrize("edition", ["2021", "2024"], ids=lambda v: f"IRC-R507.6(5)-cantilevers-{v}")
def test_cantilevers_exact(edition: str) -> None:
    count = 0
    for row in rows("joist_cantilevers_2021_2024", edition):
        answer = joist_cantilever_2021(
            timber(), row["species_group"], row["nominal_size"], 12 * float(row["joist_back_span_ft"]),
            float(row["load_psf"]), kind(row),
        )  # fmt: skip
        if row["flag"] == "NP":
            assert isinstance(answer, NoRule)
        else:
            assert inches(answer) == float(row["max_cantilever_in"]), row
        count += 1
    assert count == 384


def printed_beam_rows(edition: str) -> Iterator[Row]:
    """The joint group prints 3x and two-ply 2x as one row; it is counted once."""
    for row in rows("beam_spans", edition):
        twice = row["species_group"] == JOINT and row["plies"] == "2"
        if not twice:
            yield row


@pytest.mark.parametrize(
    ("edition", "expected", "misprints"),
    [
        ("2015", (140, 138, 140), set()),
        ("2018", (168, 163, 166), {("2x6", "6", "59"), ("2x8", "14", "34")}),
    ],
    ids=["IRC-2015-R507.6-beams", "IRC-2018-R507.5-beams"],
)
def test_beams_2015_2018(
    edition: str, expected: tuple[int, int, int], misprints: set[tuple[str, ...]]
) -> None:
    off, far = [], set()
    for row in printed_beam_rows(edition):
        answer = beam_span_2018(
            timber(),
            row["species_group"],
            row["nominal_size"],
            int(row["plies"]),
            float(row["joist_span_ft"]),
        )
        off.append(inches(answer) - float(row["max_beam_span_in"]))
        if abs(off[-1]) > 1:
            assert row["flag"] == "suspect"
            far.add((row["nominal_size"], row["joist_span_ft"], row["max_beam_span_in"]))
    assert (tally(off), far) == (expected, misprints)


@pytest.mark.parametrize("edition", ["2015", "2018"], ids=lambda v: f"IRC-{v}-joint-group-3x-row-is-2-2x-row")
def test_two_plies_read_as_the_solid_3x(edition: str) -> None:
    for row in rows("beam_spans", edition):
        if row["species_group"] == JOINT and row["plies"] == "2":
            joist_ft = float(row["joist_span_ft"])
            double = beam_span_2018(timber(), JOINT, row["nominal_size"], 2, joist_ft)
            solid = beam_span_2018(timber(), JOINT, "3" + row["nominal_size"][1:], 1, joist_ft)
            assert inches(double) == inches(solid)


def test_beams_irc_2021_r507_5() -> None:
    off, far = [], []
    for row in rows("beam_spans", "2021"):
        answer = beam_span_2021(
            timber(), row["species_group"], row["nominal_size"], int(row["plies"]), float(row["joist_span_ft"]),
            float(row["load_psf"]), kind(row),
        )  # fmt: skip
        off.append(inches(answer) - float(row["max_beam_span_in"]))
        far += [row["flag"]] * (abs(off[-1]) > 1)
    assert tally(off) == (1008, 992, 1006)
    assert far == ["suspect", "suspect"]


def test_beams_irc_2024_r507_5() -> None:
    off, far = [], Counter[str]()
    for row in rows("beam_spans", "2024"):
        answer = beam_span_2024(
            timber(), row["species_group"], row["nominal_size"], int(row["plies"]), float(row["joist_span_ft"]),
            float(row["joist_cantilever_ft"]), float(row["load_psf"]), kind(row),
        )  # fmt: skip
        off.append(inches(answer) - float(row["max_beam_span_in"]))
        if abs(off[-1]) > 1:
            far[row["flag"] or "unflagged"] += 1
    assert tally(off) == (3456, 3381, 3438)
    assert far == {"suspect": 10, "unflagged": 8}


def test_beams_irc_2024_are_the_2021_columns_read_between() -> None:
    key = ("species_group", "load_psf", "plies", "nominal_size")
    printed = {
        (*(row[k] for k in key), float(row["joist_span_ft"])): float(row["max_beam_span_in"])
        for row in rows("beam_spans", "2021")
    }
    off = []
    for row in rows("beam_spans", "2024"):
        at = effective_joist_span_ft(float(row["joist_span_ft"]), float(row["joist_cantilever_ft"]))
        low_ft = min(max(at // 2 * 2, 6.0), 16.0)
        low, high = (printed[(*(row[k] for k in key), ft)] for ft in (low_ft, low_ft + 2))
        off.append((low + (high - low) * (at - low_ft) / 2) // 1 - float(row["max_beam_span_in"]))
    assert tally(off) == (3456, 3430, 3442)


def post_rows() -> Iterator[Row]:
    yield from (row for row in rows("post_heights", "2021") if row["post_size"] != "8x8")


def test_posts_irc_2021_r507_4() -> None:
    seen = Counter[str]()
    for row in post_rows():
        answer = post_height_2021(
            timber(), row["species_group"], row["post_size"], float(row["tributary_area_sqft"]),
            float(row["load_psf"]), kind(row),
        )  # fmt: skip
        if row["flag"] == "NP":
            assert isinstance(answer, NoRule), row
        else:
            assert inches(answer) == float(row["max_height_in"]), row
        seen["NP" if row["flag"] == "NP" else "cap" if row["max_height_in"] == "168" else "height"] += 1
    assert seen == {"height": 155, "cap": 104, "NP": 29}


def test_posts_for_60_psf_live_wac_51_51_0507() -> None:
    """A state's table for a live load the fit never saw: the same method gives every cell."""
    book = resources.files("service.rulebooks") / "irc-2021" / "post_heights_live_60.csv"
    lines = [line for line in book.read_text().splitlines() if not line.startswith("#")]
    cells = list(csv.DictReader([lines[0], *lines[2:]]))
    for row in cells:
        answer = post_height_2021(
            timber(), row["species_group"], row["post_size"], float(row["tributary_area_sqft"]), 60.0
        )
        printed = float(row["max_height_in"]) if row["max_height_in"] else None
        assert (answer.printed if isinstance(answer, Allowable) else None) == printed, row
    assert len(cells) == 64


def test_posts_irc_2021_r507_4_allow_more_than_plain_nds() -> None:
    """The unsafe side of the table: how many heights, and by how much at most, NDS would not give."""
    over: dict[str, list[float]] = {}
    compared = close = refused = 0
    for row in post_rows():
        if row["flag"] == "NP" or row["max_height_in"] == "168":
            continue
        load_lb = (float(row["load_psf"]) + 10) * float(row["tributary_area_sqft"])
        answer = post_height(timber(), row["species_group"], row["post_size"], load_lb, kind(row))
        if isinstance(answer, NoRule):
            refused += 1
            continue
        compared += 1
        less = float(row["max_height_in"]) - answer.printed
        close += abs(less) <= 1
        if less > 1:
            over.setdefault(row["species_group"], []).append(less)
    counts = {group: (len(inches_over), max(inches_over)) for group, inches_over in over.items()}
    # Six redwood-group 6x6 cells: no design value for Northern Species or open-grain redwood timbers.
    assert (compared, refused, close) == (149, 6, 25)
    assert counts == {
        "douglas_fir_larch_hem_fir_spruce_pine_fir": (18, 8.0),
        "redwood_western_cedars_ponderosa_red_pine": (20, 20.0),
    }


@pytest.mark.parametrize(
    ("edition", "cells", "exact", "thin"),
    [("2018", 128, (128, 126, 128), 0), ("2021", 108, (108, 105, 107), 1), ("2024", 108, (108, 105, 107), 1)],
    ids=lambda v: f"IRC-R507.3.1-footings-{v}",
)
def test_footings(edition: str, cells: int, exact: tuple[int, int, int], thin: int) -> None:
    off: dict[str, list[float]] = {"square_side_in": [], "round_diameter_in": [], "thickness_in": []}
    for row in rows("footing_sizes", edition):
        cell = footing_cell(
            edition, float(row["tributary_area_sqft"]), float(row["load_psf"]), float(row["soil_bearing_psf"])
        )
        assert not isinstance(cell, NoRule)
        for name, differences in off.items():
            differences.append(getattr(cell, name) - float(row[name]))
    counts = [tally(differences) for differences in off.values()]
    assert [count[:2] for count in counts] == [(cells, n) for n in exact]
    assert [cells - count[2] for count in counts] == [0, 0, thin]


def test_footings_2015_have_no_table() -> None:
    assert isinstance(footing_cell("2015", 40.0, 40.0, 1500.0), NoRule)


def fastener(row: Row) -> str:
    washers = row["fastener"] == "bolt_1/2" and row["max_sheathing_in"] == "1.0"
    return row["fastener"] + "_with_washers" * washers


def test_ledgers_irc_r507_9_1_3() -> None:
    count = 0
    for row in rows("ledger_fasteners", "2015", "2018", "2021", "2024"):
        answer = ledger_spacing(
            timber(), fastener(row), float(row["joist_span_ft"]), float(row["load_psf"]), kind(row)
        )
        assert inches(answer) == float(row["spacing_oc_in"]), row
        count += 1
    assert count == 210


def test_ledgers_on_rim_boards_dca6_table_5() -> None:
    """A lag screw and a bolt carry the same into an engineered rim board: 300 lb at 1 in, 350 lb at 1-1/8 in."""
    boards = {"1 in engineered rim": "rim_board_1", "1-1/8 in engineered rim": "rim_board_1-1/8"}
    cells = [row for row in table("dca6_ledger_fasteners") if row["band"] in boards]
    assert len(cells) == 28
    for row in cells:
        answer = ledger_spacing(timber(), boards[row["band"]], float(row["joist_span_max_ft"]), 40.0)
        assert inches(answer) == float(row["spacing_oc_in"]), row
