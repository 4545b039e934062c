"""The fit page: counted right, up to date, and complete."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from service.app import bundled_snapshot, bundled_timber
from service.cli import main
from service.cli.fit import page_text
from service.fit.cells import Cell, TableFit, same_cells
from service.fit.lines import beyond_lines, suspect_lines
from service.fit.page import codes_of, table_fits
from service.rules.rulebook import Rulebook

ROOT = Path(__file__).parents[2]
NOT_SIZED = {
    "sources", "settings", "decking_joist_spacing", "ledger_placement", "loads_and_soil", "connection_rules",
    "stair_and_guard_limits", "dca6_limits",
}  # fmt: skip
CELLS = (
    Cell("as calculated", "firs", 100.0, 100.0),
    Cell("an inch off", "firs", 99.0, 100.0),
    Cell("allows more", "firs", 103.0, 100.0),
    Cell("allows less", "pine", 88.0, 100.0, likely=100.0),
    Cell("both refuse", "firs", None, None),
    Cell("table refuses", "firs", None, 60.0),
    Cell("NDS refuses", "firs", 60.0, None),
    Cell("no values", "cedars", 60.0, None, refused="no design value"),
)


def toy(larger_is_safer: bool = False) -> TableFit:
    return TableFit("toy_2000", "toy", "2000", "Toy Code 2000, Table 1", CELLS, "span", larger_is_safer)


def names(cells: tuple[Cell, ...]) -> list[str]:
    return [cell.name for cell in cells]


def test_cells_are_counted_exact_within_and_beyond() -> None:
    fit = toy()
    assert (len(fit.cells), len(fit.compared), fit.exact, fit.within) == (8, 7, 2, 3)
    assert names(fit.beyond) == ["allows more", "allows less", "table refuses", "NDS refuses"]
    assert names(fit.suspect) == ["allows less"]


def test_less_safe_is_more_span_but_less_concrete() -> None:
    assert names(toy().unsafe) == ["allows more", "NDS refuses"]
    assert names(toy(larger_is_safer=True).unsafe) == ["allows less", "table refuses"]


def test_a_factor_is_within_by_a_hundredth() -> None:
    cells = (Cell("near", "", 0.90, 0.89), Cell("far", "", 0.72, 0.78))
    fit = TableFit("f", "factors", "2021", "", cells, "ratio", True)
    assert (fit.exact, fit.within, names(fit.unsafe)) == (0, 1, ["far"])


def test_beyond_cells_are_shown_with_both_values() -> None:
    text = "\n".join(beyond_lines(toy()))
    assert "2 of 7 exact, 3 within (1 of 8 cannot be compared). The 4 beyond:" in text
    assert "| allows more | 8-7 | 8-4 | +3 in |" in text
    assert "| table refuses | NP | 5-0 |  |" in text
    assert "an inch off" not in text


def test_suspect_cells_are_shown_with_three_values() -> None:
    text = "\n".join(suspect_lines([toy()]))
    assert "| Toy Code 2000, Table 1 | allows less | 7-4 | 8-4 | 8-4 |" in text


def test_a_table_printed_again_is_noticed_by_its_cells() -> None:
    changed = TableFit("x", "toy", "2001", "", (*CELLS[:-1], Cell("no values", "cedars", 61.0, None)))
    assert same_cells(toy(), toy(larger_is_safer=True))
    assert not same_cells(toy(), changed)


@pytest.fixture(scope="module")
def books() -> dict[str, Rulebook]:
    return dict(bundled_snapshot().latest_rulebooks)


def test_every_size_table_of_every_edition_is_compared_or_named(books: dict[str, Rulebook]) -> None:
    by_kind = {
        "joist_spans": ("joist_spans", "guide_joist_spans"),
        "joist_cantilevers": ("cantilevers_by_back_span",),
        "beam_spans": ("beam_spans",),
        "beam_joist_span_factors": ("factors",),
        "post_heights": ("posts", "posts_nds"),
        "post_heights_live_60": ("posts", "posts_nds"),
        "footing_sizes": ("footing_side", "footing_diameter", "footing_thickness"),
        "ledger_fasteners": ("ledger",),
    }
    fits = {(fit.kind, fit.edition) for fit in table_fits(books, bundled_timber())}
    for book in codes_of(books):
        for table in set(book.tables) - NOT_SIZED:
            found = [kind for kind in by_kind[table] if (kind, book.edition) in fits]
            assert found or (table, book.edition) in {("post_heights", "2015"), ("post_heights", "2018")}
    assert {kind for kind, _ in fits} >= {f"guide_{one}" for one in ("overhangs", "beam_spans", "ledger")}


def test_the_page_in_the_repository_is_up_to_date() -> None:
    assert (ROOT / "openapi" / "fit.md").read_text("utf-8") == page_text(), "run: deck-framing fit write"


def test_every_cell_beyond_an_inch_is_on_the_page(books: dict[str, Rulebook]) -> None:
    text = page_text()
    for fit in table_fits(books, bundled_timber()):
        assert all(f"| {cell.name} | " in text for cell in (*fit.beyond, *fit.suspect))


def test_check_fails_on_a_stale_page_and_write_mends_it(tmp_path: Path) -> None:
    folder = str(tmp_path)
    (tmp_path / "fit.md").write_text(page_text().replace("| 3456 |", "| 3457 |"), "utf-8")
    stale = CliRunner().invoke(main, ["fit", "check", "--folder", folder])
    assert stale.exit_code == 1
    assert "fit.md is stale: 2 lines differ" in stale.output
    assert CliRunner().invoke(main, ["fit", "write", "--folder", folder]).exit_code == 0
    assert CliRunner().invoke(main, ["fit", "check", "--folder", folder]).exit_code == 0
