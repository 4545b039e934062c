"""Whatever a place takes out of a rulebook: designs there are answered, and never better than without it."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest
from context import designed, rulebooks, spec_of
from overlays import block, context_of, place_of

from service.contract.report import DesignReport
from service.rules.amend import adoption_faults, apply_amendments
from service.rules.amendment import WITHOUT_REMOVAL
from service.rules.citing import shown
from service.rules.faults import TableRefused
from service.rules.figures import REMOVABLE_FIGURES
from service.rules.jurisdiction import Jurisdiction
from service.rules.kinds import LIMIT_TABLES, TableKind
from service.units.finding import Finding

RANK = {"prescriptive": 0, "engineer_required": 1, "not_permitted": 2}
CODES = ("irc-2015", "irc-2018", "irc-2021", "irc-2024")
# Sizes that are pinned can't give way to others that the table still has, and leave little to search.
SIZES: dict[str, Any] = {
    "joist_size": "2x8", "joist_spacing_in": 16, "beam_size": "2x10", "beam_plies": 2, "beam_placement": "dropped",
    "post_size": "6x6",
}  # fmt: skip
DECK: dict[str, Any] = {
    "levels": [{"width_ft": 9, "projection_ft": 8, "surface_height_in": 36}],
    "stairs": [{"edge": 2, "offset_ft": 2, "width_in": 36}],
    "foundation": {"method": "tube_form_pier"},
}
LEDGER: dict[str, Any] = DECK | {
    "house": {
        "wall": "wood_band", "foundation_wall": "poured_concrete", "rim_depth_in": 11.25,
        "floor_joist_direction": "toward_deck", "excavation_slope": "type_b", "door_sill_height_in": 37.5,
    },
    "framing": SIZES | {"attachment": "ledger"},
}  # fmt: skip
FREE: dict[str, Any] = DECK | {"house": {"wall": "none"}, "framing": SIZES}
LOW: dict[str, Any] = FREE | {
    "levels": [{"width_ft": 8, "projection_ft": 8, "surface_height_in": 18}],
    "stairs": [],
}
DECKS = {"ledger": LEDGER, "low": LOW, "free": FREE}
SIZED = {
    "joist_spans": 'nominal_size = "2x8"', "beam_spans": 'nominal_size = "2x10"', "post_heights": 'post_size = "6x6"',
}  # fmt: skip


def design(deck: str, place: Jurisdiction, rulebook: str) -> DesignReport:
    return designed(spec_of(**DECKS[deck]), context_of(place, rulebook))


@cache
def plain(deck: str, rulebook: str) -> DesignReport:
    return design(deck, place_of(), rulebook)


def table_of(found: Finding) -> str:
    url = found.citation.table_url or ""
    return url.rpartition("/")[2]


def match_of(kind: TableKind, key: dict[str, str]) -> str:
    numbers = {column.name for column in kind.columns if column.type == "number"}
    return ", ".join(
        f"{name} = {value}" if name in numbers else f'{name} = "{value}"' for name, value in key.items()
    )


def rows_read(deck: str, rulebook: str) -> dict[str, set[str]]:
    """The rows that the checks of a design cite, by table; of a value between two rows both."""
    found: dict[str, set[str]] = {}
    for check in plain(deck, rulebook).checks:
        name = table_of(check)
        table = rulebooks()[rulebook].tables.get(name)
        if table is None or name in (*WITHOUT_REMOVAL, "settings") or not check.citation.rows:
            continue
        for rows in (check.citation.rows, check.citation.rows[::-1]):
            key: dict[str, str] = {}
            for row in rows:
                key.setdefault(row.name, row.value)
            found.setdefault(name, set()).add(match_of(table.kind, key))
    return found


CASES = [*(("ledger", code) for code in CODES), ("free", "irc-2015")]
ROWS_OF_A_TABLE = 2


@pytest.mark.parametrize(("deck", "code"), CASES)
def test_a_row_that_was_read_is_taken_out(deck: str, code: str) -> None:
    """Each row the design read, alone: answered, no better, and what is judged is never judged by that row."""
    before = RANK[plain(deck, code).verdict.status]
    read = rows_read(deck, code)
    assert read
    for table, matches in read.items():
        for match in sorted(matches)[:ROWS_OF_A_TABLE]:
            place = place_of(block("gone", table, match, "", "removed"))
            assert apply_amendments(rulebooks()[code], place).unapplied == ()
            report = design(deck, place, code)
            assert RANK[report.verdict.status] >= before
            assert [one.id for one in report.amendments] == ["gone"]
            told = [
                one for one in report.checks if one.citation.section == "gone" and one.capacity is not None
            ]
            assert not told, (table, match)


@pytest.mark.parametrize("code", ["irc-2015", "irc-2021", "irc-2024"])
@pytest.mark.parametrize("table", SIZED)
def test_a_pinned_size_whose_rows_are_taken_out_is_an_engineer_s(code: str, table: str) -> None:
    size = {
        "joist_spans": 'nominal_size = "2x8"',
        "beam_spans": 'nominal_size = "2x10"',
        "post_heights": 'post_size = "6x6"',
    }
    place = place_of(block("gone", table, size[table], "", "removed"))
    assert plain("free", code).verdict.status == "prescriptive"
    found = design("free", place, code).verdict
    assert found.status == "engineer_required"
    assert {one.code for one in found.reasons} <= {"size_or_spacing_off_tables", "post_above_table"}


@pytest.mark.parametrize("code", ["irc-2018", "irc-2024"])
@pytest.mark.parametrize(
    "table",
    [
        "joist_spans",
        "beam_spans",
        "post_heights",
        "footing_sizes",
        "ledger_fasteners",
        "decking_joist_spacing",
    ],
)
def test_a_whole_table_taken_out(code: str, table: str) -> None:
    """Every row of a table: answered, and no better; ``match`` names each value of the first key column."""
    book = rulebooks()[code]
    if table not in book.tables:
        return
    kind = book.tables[table].kind
    first = kind.key[0]
    values = sorted({shown(row[kind.position[first]]) for row in book.tables[table].rows})
    blocks = [
        block(f"gone-{n}", table, match_of(kind, {first: value}), "", "removed")
        for n, value in enumerate(values)
    ]
    place = place_of(*blocks)
    for deck in ("ledger", "low"):
        assert RANK[design(deck, place, code).verdict.status] >= RANK[plain(deck, code).verdict.status]


@pytest.mark.parametrize("code", CODES)
def test_every_single_figure_taken_out_is_refused_or_harmless(code: str) -> None:
    """By its key, over every table of single figures: only what allows something can be taken out."""
    keys = [(name, str(row[0])) for name in LIMIT_TABLES[:3] for row in rulebooks()[code].tables[name].rows]
    assert len(keys) > 70
    for name, key in keys:
        gone = block("gone", name, f'key = "{key}"', "", "removed")
        if key not in REMOVABLE_FIGURES:
            with pytest.raises(TableRefused, match="can't be removed"):
                place_of(gone)
            continue
        for deck in ("ledger", "low"):
            assert (
                RANK[design(deck, place_of(gone), code).verdict.status]
                >= RANK[plain(deck, code).verdict.status]
            )


def test_without_its_exemption_no_deck_stands_on_blocks() -> None:
    """The low deck of 64 sq ft on blocks: a place whose frames with beams are taken, with the exemption and without."""
    open_here = block("open", "settings", 'key = "pier_blocks_carry_beams"', "value = true")
    gone = block("gone", "loads_and_soil", 'key = "footing_exemption_area"', "", "removed")
    deck = spec_of(house={"wall": "none"}, levels=LOW["levels"], foundation={"method": "pier_block_on_grade"})
    with_it, without = (
        designed(deck, context_of(place_of(*blocks))).footing_comparison.methods
        for blocks in ((open_here,), (open_here, gone))
    )
    told = [
        {why.code for one in methods if one.method == "pier_block_on_grade" for why in one.why_not}
        for methods in (with_it, without)
    ]
    assert "not_allowed_here" not in told[0]
    assert "not_allowed_here" in told[1]
    assert adoption_faults(place_of(gone), rulebooks()) == []
