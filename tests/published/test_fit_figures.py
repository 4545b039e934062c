"""The figures the calculation has to reach, table by table, and how sharply the cells fix each fitted constant.

Counts are of the tables that come with the service; `openapi/fit.md` shows every cell behind them.
"""

from __future__ import annotations

from functools import cache

import pytest

from service.app import bundled_snapshot, bundled_timber
from service.fit.cells import TableFit
from service.fit.page import codes_of, table_fits
from service.fit.posts import PostAreas, post_areas
from service.fit.rows import load_kind, number, records, text
from service.rules.rulebook import Rulebook
from service.sizing.calculated_beams import PLY_CR, SHEAR_2021, beam_span_2021, rounds_down_2021
from service.sizing.calculated_result import Allowable
from service.timber.sections import DIMENSION_IN

# Table: cells, at least exact, at least within an inch.
LEAST = {
    "joist_spans_2015": (36, 33, 33), "joist_spans_2018": (36, 33, 33),
    "joist_spans_2021": (144, 144, 144), "joist_spans_2024": (144, 144, 144),
    "with_cantilever_2015": (36, 36, 36), "cantilevers_by_spacing_2018": (36, 32, 36),
    "cantilevers_2021": (384, 384, 384), "cantilevers_2024": (384, 384, 384),
    "beam_spans_2015": (140, 138, 140), "beam_spans_2018": (168, 163, 166),
    "beam_spans_2021": (1008, 992, 1006), "beam_spans_2024": (3456, 3381, 3438),
    "factors_2021": (6, 2, 5),
    "posts_2021": (384, 384, 384), "posts_2024": (384, 384, 384), "posts_2021_live_60": (64, 64, 64),
    "posts_nds_2021": (384, 157, 176), "posts_nds_2024": (384, 157, 176), "posts_nds_2021_live_60": (64, 24, 28),
    "footing_side_2018": (128, 128, 128), "footing_diameter_2018": (128, 126, 128),
    "footing_thickness_2018": (128, 128, 128),
    "footing_side_2021": (108, 108, 108), "footing_diameter_2021": (108, 105, 108),
    "footing_thickness_2021": (108, 107, 107),
    "footing_side_2024": (108, 108, 108), "footing_diameter_2024": (108, 105, 108),
    "footing_thickness_2024": (108, 107, 107),
    "ledger_2015": (21, 21, 21), "ledger_2018": (21, 21, 21), "ledger_2021": (84, 84, 84),
    "ledger_2024": (84, 84, 84),
    "guide_joist_spans": (36, 36, 36), "guide_overhangs": (36, 31, 36), "guide_beam_spans": (168, 164, 168),
    "guide_ledger": (49, 49, 49),
}  # fmt: skip


@cache
def books() -> dict[str, Rulebook]:
    return dict(bundled_snapshot().latest_rulebooks)


@cache
def fits() -> dict[str, TableFit]:
    return {fit.key: fit for fit in table_fits(books(), bundled_timber())}


def test_every_table_has_a_figure_to_reach() -> None:
    assert set(fits()) == set(LEAST)


@pytest.mark.parametrize("key", LEAST)
def test_fit_reaches_its_figure(key: str) -> None:
    fit, (cells, exact, within) = fits()[key], LEAST[key]
    assert len(fit.cells) == cells
    assert fit.exact >= exact
    assert fit.within >= within


def test_posts_the_table_allows_taller_than_nds_irc_2021_r507_4() -> None:
    """The unsafe side, by group: 21 cells of the firs by 8 in at most, 22 of the cedars by 20 in, none of pine."""
    unsafe = fits()["posts_nds_2021"].unsafe
    most = {
        group: (len(overs), max(overs))
        for group in ("pine", "firs", "cedars")
        if (overs := [cell.over for cell in unsafe if cell.group == group])
    }
    assert most == {"firs": (21, 8.0), "cedars": (22, 20.0)}


def test_the_4x4_of_irc_2018_r507_4_is_pine_at_140_sq_ft() -> None:
    found = [area for book in codes_of(books()) for area in post_areas(book, bundled_timber())]
    by_size: dict[tuple[str, str], PostAreas] = {(area.edition, area.size): area for area in found}
    assert by_size["2018", "4x4"].by_table_sqft["pine"] == pytest.approx(140.0, abs=0.1)
    assert len(found) == 7


def spans_decided_by(check: str, plies: tuple[int, ...]) -> list[tuple[float, float, float, Allowable]]:
    """Of the 2021 beam cells that a check decides: the span from and to which they print, and the depth, in."""
    found = []
    for row in records(books()["irc-2021"], "beam_spans"):
        count, size, group = int(number(row, "plies")), text(row, "nominal_size"), text(row, "species_group")
        answer = beam_span_2021(
            bundled_timber(),
            group,
            size,
            count,
            number(row, "joist_span_ft"),
            number(row, "load_psf"),
            load_kind(row),
        )
        assert isinstance(answer, Allowable)
        if row["flag"] != "suspect" and answer.governing == check and count in plies:
            printed = number(row, "max_beam_span_in")
            low = printed if rounds_down_2021(group, load_kind(row), count, size) else printed - 0.5
            found.append((low, low + 1, DIMENSION_IN[int(size.split("x")[1])], answer))
    return found


def test_the_shear_factor_of_irc_2021_r507_5_is_eleven_eighths() -> None:
    """Every cell that shear decides bounds the factor; together they leave 1.3749 to 1.3753."""
    bounds = [
        [SHEAR_2021 * (answer.value - 2 * depth) / (edge - 2 * depth) for edge in (high, low)]
        for low, high, depth, answer in spans_decided_by("shear", (1, 2, 3))
    ]
    assert len(bounds) == 251
    lowest, highest = max(low for low, _ in bounds), min(high for _, high in bounds)
    assert 1.3748 < lowest <= 1.375 <= highest < 1.3754


def test_the_two_ply_factor_of_irc_2021_r507_5_is_one_tenth() -> None:
    bounds = [
        [PLY_CR[2] * (edge / answer.value) ** 2 for edge in (low, high)]
        for low, high, _, answer in spans_decided_by("bending", (2,))
    ]
    assert sum(low <= 1.10 < high for low, high in bounds) == len(bounds) - 1 == 256
    off_by_a_thousandth = [sum(low <= cr < high for low, high in bounds) for cr in (1.099, 1.101)]
    assert max(off_by_a_thousandth) < 256
