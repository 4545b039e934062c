"""Spreadsheets with their own columns become our tables, or are refused with every fault at its line."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from rules.conftest import ROOT

from service.rules.faults import TableRefused
from service.rules.headers import Reading
from service.rules.spreadsheet import decoded_sheet, read_spreadsheet

PREAMBLE = {
    "rulebook": "made-up-county", "document": "Handbook (invented)", "section": "4", "printed": "Table 4",
    "checked_on": "2026-12-01", "note": "read from the county's sheet",
}  # fmt: skip
SHEET = (
    "Species Group,Joist,Load PSF,Load Kind,Spacing (in),Max. Span (IN),Max span with cantilever in,"
    "max-cantilever-in,Remarks,Source ID\n"
    "southern_pine,2x6,40,live,12,119,,,quiet,s1\n"
    "southern_pine,2x6,40,live,16,108,,,,s1\n"
)
COLUMNS = {"Joist": "nominal_size", "Remarks": ""}
MADE = [
    "#table: joist_spans", "#rulebook: made-up-county", "#document: Handbook (invented)", "#section: 4",
    "#printed: Table 4", "#checked_on: 2026-12-01", "#note: read from the county's sheet",
    "load_psf,load_kind,species_group,nominal_size,spacing_in,max_span_in,max_span_with_cantilever_in,"
    "max_cantilever_in,source_id",
    "psf,text,text,text,in,in,in,in,text",
    "40,live,southern_pine,2x6,12,119,,,s1",
    "40,live,southern_pine,2x6,16,108,,,s1",
]  # fmt: skip


def read(text: str, columns: dict[str, str] = COLUMNS, **constants: str) -> str:
    return read_spreadsheet(text, "county.csv", "joist_spans", Reading(columns, constants, PREAMBLE))


def refused(text: str, columns: dict[str, str] = COLUMNS, **constants: str) -> list[str]:
    with pytest.raises(TableRefused) as caught:
        read(text, columns, **constants)
    return [str(fault) for fault in caught.value.faults]


def test_columns_are_found_by_their_headers_and_put_in_our_order() -> None:
    assert read(SHEET).splitlines() == MADE


@pytest.mark.parametrize(
    "odd",
    [
        "\n" + SHEET.replace("\n", "\r\n"),
        SHEET.replace(",", ";"),
        SHEET.replace(",", "\t"),
        "sep=;\n" + SHEET.replace(",", ";"),
        SHEET.replace("\n", ",,,\n"),
        SHEET.replace("\n", "\n\n,,,\n") + "\n\n",
        SHEET.replace("southern_pine", '"southern_pine"').replace("Spacing (in)", '"Spacing (in)"'),
        "#section: 4,,,\n" + SHEET,
        '"#note: read from the county\'s sheet",,\n' + SHEET,
    ],
    ids=["crlf", "semicolons", "tabs", "sep", "empty-columns", "blank-lines", "quotes", "preamble", "quoted-preamble"],
)  # fmt: skip
def test_what_spreadsheets_do_to_a_file_is_put_up_with(odd: str) -> None:
    assert read(odd).splitlines() == MADE


def test_a_byte_order_mark_is_no_part_of_the_header() -> None:
    assert decoded_sheet(b"\xef\xbb\xbf" + SHEET.encode(), "county.csv") == SHEET
    with pytest.raises(TableRefused, match=r"county\.csv:2: not UTF-8"):
        decoded_sheet(b"load\n\xe9", "county.csv")


def test_a_column_the_sheet_does_not_have_is_given_not_guessed() -> None:
    without = SHEET.replace("Load Kind,", "").replace("live,", "")
    assert refused(without) == [
        "county.csv:1: load_kind: the sheet has no such column: say which header means it, or give its cell for every "
        "row"
    ]
    assert read(without, load_kind="live").splitlines() == MADE
    assert "so no cell can be given for every row" in refused(SHEET, load_kind="live")[0]


def test_an_unknown_header_is_named_with_the_columns_not_found() -> None:
    assert refused(SHEET, {"Remarks": ""}) == [
        "county.csv:1: 'Joist' is no column of joist_spans; not found yet: nominal_size",
        "county.csv:1: nominal_size: the sheet has no such column: say which header means it, or give its cell for "
        "every row",
    ]


def test_a_header_without_its_unit_is_not_taken_for_one_with_it() -> None:
    found = refused(SHEET.replace("Max. Span (IN)", "Max. Span"))
    assert found[0].startswith(
        "county.csv:1: 'Max. Span' is no column of joist_spans; not found yet: max_span_in"
    )


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        ({**COLUMNS, "Remarks": "load_kind"}, "load_kind: 'Load Kind' and 'Remarks' both mean this column"),
        ({**COLUMNS, "Remark": ""}, "the sheet has no header 'Remark'; it has Species Group, Joist"),
        ({**COLUMNS, "Remarks": "remarks"}, "remarks: joist_spans has no such column; it has load_psf"),
    ],
)
def test_a_map_that_cannot_be_followed_is_refused(columns: dict[str, str], said: str) -> None:
    assert any(said in fault for fault in refused(SHEET, columns))


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ("9-6", "max_span_in: '9-6' is not a number; a decimal number of inches is needed, like 114 or 57.5"),
        ("9' 6\"\"", "is not a number; a decimal number of inches"),
        ("119 in", "'119 in' is not a number"),
        ("119.5 ", "begins or ends with a space"),
        ("1,119", "'1,119' is not a number"),
        ("-119", "'-119' is not a number"),
        ("", "county.csv:2: max_span_in: cell missing"),
        ("11\n9", "county.csv:2: max_span_in: holds a line break"),
    ],
)  # fmt: skip
def test_nothing_is_converted(cell: str, said: str) -> None:
    assert any(said in fault for fault in refused(SHEET.replace(",119,", f',"{cell}",')))


def test_every_fault_is_told_by_the_line_of_the_sheet() -> None:
    sheet = SHEET.replace("\nsouthern_pine,2x6,40,live,16", "\n\n\nsouthern_pine,2x6,forty,live,1 6")
    assert [fault.split(": ")[0:2] for fault in refused(sheet)] == [
        ["county.csv:5", "load_psf"],
        ["county.csv:5", "spacing_in"],
    ]


def test_a_row_that_stands_twice_is_named_by_the_lines_of_the_sheet() -> None:
    assert refused(SHEET.replace(",16,", ",12,")) == ["county.csv:3: load_psf: same key as line 2"]


def test_a_sheet_without_anything_and_a_kind_nobody_knows() -> None:
    assert refused("\n\n") == ["county.csv:1: the sheet has no header"] or refused("\n\n")[0].endswith(
        "no header"
    )
    with pytest.raises(TableRefused, match="spans is no known kind of table; known are sources"):
        read_spreadsheet(SHEET, "county.csv", "spans", Reading({}, {}, {}))
    assert "cannot be read as CSV" in refused(SHEET.replace("quiet", '"qui"et'))[0]


def test_a_sheet_of_another_table_is_refused() -> None:
    assert refused("#table: beam_spans\n" + SHEET)[0].endswith(
        "the sheet says that it is beam_spans, not joist_spans"
    )
    assert "unknown preamble key" in refused("#remark: x\n" + SHEET)[0]


@pytest.mark.parametrize(
    "file", sorted(ROOT.glob("*-*/*.csv")), ids=lambda file: f"{file.parent.name}-{file.stem}"
)
def test_a_table_as_we_print_it_is_read_back_byte_for_byte(file: Path) -> None:
    text = file.read_bytes().decode()
    assert read_spreadsheet(text, file.name, file.stem, Reading({}, {}, {})) == text


@pytest.mark.parametrize("file", sorted(ROOT.glob("irc-2024/*.csv")), ids=lambda file: file.stem)
def test_a_table_that_went_through_a_spreadsheet_is_read_back_byte_for_byte(file: Path) -> None:
    """Opened and saved: taken apart at the commas, columns moved, every row as wide as the widest."""
    text = file.read_bytes().decode()
    rows = list(csv.reader(io.StringIO(text)))
    above = sum(row[0].startswith("#") for row in rows)
    width = max(map(len, rows))
    moved = [row if n < above else row[1:] + row[:1] for n, row in enumerate(rows)]
    out = io.StringIO()
    csv.writer(out).writerows([*row, *[""] * (width - len(row))] for row in moved)
    assert read_spreadsheet(out.getvalue(), file.name, file.stem, Reading({}, {}, {})) == text
