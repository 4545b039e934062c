"""A supplier's section table in the text of a price book: what is read, and each refusal with line and column."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.app import bundled_snapshot
from service.contract.price_sections import RANGES
from service.rules.faults import TableRefused
from service.rules.parse import digest_of
from service.rules.price_book import EXAMPLE, PriceBook, canonical_text, parse_price_book
from service.rules.sections import SECTION_COLUMNS, SECTION_EXAMPLE, SECTION_READERS

LVL_LINE = "laminated_veneer_lumber.1-3-4x9-1-4.1_7e.uc3b,V-9-24,LVL 24 ft,piece,24,146.40,,,in_stock,"
STEEL_LINE = "light_gauge_steel.925s200-54.50ksi.g90,S-9-24,Steel joist 24 ft,piece,24,206.40,,,in_stock,"
LVL = (
    "lvl-9,laminated_veneer_lumber,both,9.25,1.75,5.1,wet,uc3b,3,1950,205,480,1700000,,,,,,"
    "laminated_veneer_lumber.1-3-4x9-1-4.1_7e.uc3b,Invented table"
)
STEEL = (
    "925s200-54,light_gauge_steel,joist,9.25,2,2.8,wet,g90,1,,,,29500000,9.51,4710,850,550,1.5,"
    "light_gauge_steel.925s200-54.50ksi.g90,Invented table"
)
HEAD = ",".join(SECTION_COLUMNS)
TEXT = f"{EXAMPLE}{LVL_LINE}\n{STEEL_LINE}\n{HEAD}\n{LVL}\n{STEEL}\n"
AT_LVL, AT_STEEL = 14, 15
# old text, new text, line, column: one malformed table for each refusal
REFUSALS = {
    "name in capitals": ("lvl-9,", "LVL-9,", AT_LVL, "section"),
    "name of two letters": ("lvl-9,", "l9,", AT_LVL, "section"),
    "material": ("lvl-9,laminated_veneer_lumber,", "lvl-9,plywood,", AT_LVL, "material"),
    "use": (",both,", ",rafter,", AT_LVL, "use"),
    "depth in words": ("both,9.25", "both,9 1/4", AT_LVL, "depth_in"),
    "depth in feet": ("both,9.25", "both,0.77", AT_LVL, "depth_in"),
    "depth missing": ("both,9.25,", "both,,", AT_LVL, "depth_in"),
    "width over the depth": (",9.25,2,2.8", ",3,3.5,2.8", AT_STEEL, "width_in"),
    "no weight": ("1.75,5.1,", "1.75,0,", AT_LVL, "weight_plf"),
    "moisture": ("5.1,wet", "5.1,damp", AT_LVL, "service"),
    "protection": ("wet,uc3b", "wet,painted", AT_LVL, "protection"),
    "zinc on wood": ("wet,uc3b", "wet,g90", AT_LVL, "protection"),
    "four plies": ("uc3b,3,", "uc3b,4,", AT_LVL, "most_plies"),
    "steel in two plies": ("g90,1,", "g90,2,", AT_STEEL, "most_plies"),
    "bending missing": (",3,1950,", ",3,,", AT_LVL, "fb_psi"),
    "bending in exponents": (",1950,", ",1.95e3,", AT_LVL, "fb_psi"),
    "shear out of range": (",205,", ",2050,", AT_LVL, "fv_psi"),
    "stiffness in millions": (",1700000,", ",1.7,", AT_LVL, "e_psi"),
    "steel's stiffness on wood": (",1700000,", ",29500000,", AT_LVL, "e_psi"),
    "wood's stiffness on steel": (",29500000,", ",1700000,", AT_STEEL, "e_psi"),
    "a value of steel on wood": ("1700000,,", "1700000,9.5,", AT_LVL, "inertia_in4"),
    "moment missing": (",4710,", ",,", AT_STEEL, "allowable_moment_lb_ft"),
    "no bearing length": (",550,1.5,", ",550,,", AT_STEEL, "reaction_bearing_in"),
    "item of another kind": (
        "480,1700000,,,,,,laminated_veneer_lumber.1-3-4x9-1-4.1_7e.uc3b",
        "480,1700000,,,,,,concrete.bag.60lb",
        AT_LVL,
        "item",
    ),
    "item without a price": (
        "1.5,light_gauge_steel.925s200-54.50ksi.g90",
        "1.5,light_gauge_steel.925s200-68.50ksi.g90",
        AT_STEEL,
        "item",
    ),
    "source begins with a sign": (f"{LVL.rsplit(',', 1)[0]},I", f"{LVL.rsplit(',', 1)[0]},=I", AT_LVL, "source"),
    "a section twice": (f"{STEEL}\n", f"{STEEL}\n{STEEL}\n", AT_STEEL + 1, "section"),
    "a cell too few": ("lvl-9,", "", AT_LVL, None),
    "an unknown column": ("section,material", "section,matter", 13, None),
    "no section at all": (f"{HEAD}\n{LVL}\n{STEEL}\n", f"{HEAD}\n", 13, None),
}  # fmt: skip


def test_sections_are_read_with_their_values() -> None:
    book = parse_price_book(TEXT, "x")
    lvl, steel = book.sections
    assert (lvl.fb_psi, lvl.most_plies, lvl.inertia_in4) == (1950.0, 3, None)
    assert (steel.allowable_moment_lb_ft, steel.reaction_bearing_in, steel.fb_psi) == (4710.0, 1.5, None)
    assert steel.used_as("joist")
    assert not steel.used_as("beam")
    assert canonical_text(book) == TEXT
    assert book.digest == digest_of(TEXT)


@pytest.mark.parametrize("name", REFUSALS)
def test_each_fault_of_a_section_is_refused_with_line_and_column(name: str) -> None:
    old, new, line, column = REFUSALS[name]
    assert TEXT.count(old) == 1, TEXT.count(old)
    with pytest.raises(TableRefused) as refused:
        parse_price_book(TEXT.replace(old, new), "x@1.csv")
    found = [(fault.file, fault.line, fault.column) for fault in refused.value.faults]
    assert ("x@1.csv", line, column) in found, found
    if name != "an unknown column":
        assert len(found) == 1, found


@pytest.mark.parametrize("column", RANGES)
def test_both_ends_of_every_range_are_taken_and_nothing_beyond(column: str) -> None:
    read, (least, most) = SECTION_READERS[column], RANGES[column]
    if column == "most_plies":
        assert (read("1"), read("3")) == (1, 3)
        return
    assert (read(f"{least:.10g}"), read(f"{most:.0f}")) == (least, most)
    for beyond in (f"{most + 1:.0f}", f"{least / 2:.6f}".rstrip("0")):
        with pytest.raises(ValueError, match=r"not within|no number"):
            read(beyond)


def test_texts_without_sections_are_what_they_were() -> None:
    """The digest of a version published before there were section tables is that of the same bytes."""
    for book in bundled_snapshot().price_books.versions.values():
        as_written = replace(book, effective_to=None)  # the next version ended it
        assert canonical_text(as_written) == book.text
        assert digest_of(book.text) == book.digest
        assert ("section,material" in book.text) == bool(book.sections)
    assert parse_price_book(EXAMPLE, "x").sections == ()


def _demo() -> PriceBook:
    return bundled_snapshot().price_books.pinned("brindlemoor-yard", 6)


def test_the_demo_sections_are_those_of_the_docstrings_and_can_be_bought() -> None:
    book = _demo()
    assert canonical_text(book) == book.text
    example = next(one for one in book.sections if one.section == SECTION_EXAMPLE.section)
    assert (example.fb_psi, example.e_psi, example.item) == (
        SECTION_EXAMPLE.fb_psi, SECTION_EXAMPLE.e_psi, SECTION_EXAMPLE.item
    )  # fmt: skip
    for one in book.sections:
        assert len(book.ladder(one.item)) >= 5


def test_the_sixth_version_sells_all_the_fifth_does_at_the_same_price() -> None:
    books = bundled_snapshot().price_books
    fifth, sixth = books.pinned("brindlemoor-yard", 5), books.pinned("brindlemoor-yard", 6)
    assert set(fifth.lines) <= set(sixth.lines)
