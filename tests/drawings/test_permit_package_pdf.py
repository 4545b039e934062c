"""The permit package as PDF, read back by another library: tagged, searchable, whole, and always the same bytes."""

from __future__ import annotations

import hashlib
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

import msgspec
import pytest
from package_decks import ALL, ENGINEER, REFUSED, report_of
from pypdf import PdfReader
from pypdf.generic import Destination

from service.contract.permit_package import Job
from service.drawings.package.blocks import BREAK, Checks, Sheet, Table
from service.drawings.package.package import PAPER_PT, package_of
from service.typesetting.permit_package import set_package

ROOT = Path(__file__).parents[2]
WORD = "W" * 120
# Commands of the typesetter, markup, a formula of a spreadsheet, marks that turn the direction of writing.
HOSTILE = Job(
    owner="a</text><script>alert(1)</script>",
    site_address='b #import "x": * #pagebreak() $x^2$ *b* _c_ \\u{41} `raw` @ref <lab> // c /* d */',
    parcel="1=1+1 =1+1",
    builder=WORD,
    builder_licence="m\u200fn \u202eopq\u202c 日本",
    prepared_for="é" * 120,
    note="N [y] {z} ~ -- --- \"q\" 'q' #data #given #sys.inputs",
)


def sheet(name: str, paper: str) -> Sheet:
    width, height = PAPER_PT[paper]
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" viewBox="0 0 {width} {height}">'
        f'<text x="100" y="100" font-family="DejaVu Sans Condensed" font-size="12">drawn {name}</text></svg>'
    )
    return Sheet(
        name=name, title=f"Sheet {name}", alt=f"What {name} shows", svg=svg, width_pt=width, height_pt=height
    )


@cache
def pdf(name: str, job: Job | None = None, paper: str | None = None) -> PdfReader:
    sheets = [] if paper is None else [sheet("framing_plan", paper), sheet("section", paper)]
    return PdfReader(BytesIO(set_package(report_of(name), job, sheets)))


@cache
def pages(name: str, job: Job | None = None, paper: str | None = None) -> list[str]:
    return [page.extract_text().replace(BREAK, "") for page in pdf(name, job, paper).pages]


def squeezed(text: str) -> str:
    return "".join(text.split())


def bookmarks(reader: PdfReader) -> Iterator[tuple[str, int]]:
    for one in reader.outline:
        if isinstance(one, Destination):
            number = reader.get_destination_page_number(one)
            assert number is not None
            yield str(one.title), number


def tags(reader: PdfReader) -> list[str]:
    """Every structure element's type, in order."""
    found: list[str] = []

    def walk(node: Any) -> None:
        node = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(node, dict):
            if "/S" in node and node.get("/Type") != "/MCR":
                found.append(str(node["/S"]))
            walk(node.get("/K"))
        elif isinstance(node, list):
            for one in node:
                walk(one)

    walk(reader.trailer["/Root"]["/StructTreeRoot"]["/K"])
    return found


@pytest.mark.parametrize("name", ALL)
def test_pdf_holds_every_mark_and_page_number(name: str) -> None:
    report, found = report_of(name), pages(name)
    text = "\n".join(found)
    assert [one.mark for one in (*report.posts, *report.footings) if one.mark not in text] == []
    for number, page in enumerate(found, start=1):
        assert f"Page {number} of {len(found)}" in page
        assert f"Prepared with the deck framing service {report.engine_version}" in page
        assert report.design_id in page


@pytest.mark.parametrize("name", ALL)
def test_pdf_has_a_bookmark_where_each_part_begins(name: str) -> None:
    package, found = package_of(report_of(name), None), list(bookmarks(pdf(name)))
    parts = [one.title for one in (*package.cover, package.contents, *package.sections)]
    assert [title for title, _ in found if title != "Contents"] == parts
    assert all(squeezed(title) in squeezed(pages(name)[page]) for title, page in found)


def test_pdf_is_tagged_in_its_language_with_heads_of_tables() -> None:
    reader, root = pdf("hillside"), pdf("hillside").trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] is True or bool(root["/MarkInfo"]["/Marked"])
    assert root["/Lang"] == "en"
    assert b"pdfuaid" in root["/Metadata"].get_data()
    kinds = tags(reader)
    package = package_of(report_of("hillside"), None)
    blocks = [one for part in (package.contents, *package.sections) for one in part.blocks]
    heads = sum(len(one.columns) for one in blocks if isinstance(one, Checks | Table))
    # whose checks they are stands over them
    heads += sum(len(one.groups) for one in blocks if isinstance(one, Checks))
    assert kinds.count("/TH") == heads
    assert kinds.count("/H1") >= len(package.sections)


@pytest.mark.parametrize("name", ["hillside", REFUSED])
def test_pdf_fonts_are_embedded(name: str) -> None:
    reader, seen = pdf(name), set()
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            inner = font.get_object()["/DescendantFonts"][0].get_object()
            seen.add(str(inner["/BaseFont"]).partition("+")[2])
            files = inner["/FontDescriptor"].get_object().keys()
            assert {"/FontFile2", "/FontFile3"} & set(files)
    assert seen == {"DejaVuSansCondensed", "DejaVuSansCondensed-Bold"}


def test_pdf_says_no_day_and_starts_nothing() -> None:
    reader = pdf("hillside", HOSTILE)
    assert reader.metadata is not None
    assert reader.metadata.creation_date is None
    assert not {"/OpenAction", "/AA", "/AcroForm", "/Names"} & set(reader.trailer["/Root"]) - {"/Names"}
    assert "/JavaScript" not in reader.trailer["/Root"].get("/Names", {})
    actions = {
        str(note.get_object().get("/A", {}).get("/S"))
        for page in reader.pages
        for note in page.get("/Annots", [])
    }
    assert actions <= {"/GoTo", "None"}


def test_pdf_hostile_words_are_printed_as_they_stand() -> None:
    told = squeezed(pages("ledger-composite", HOSTILE)[0])
    for text in (
        HOSTILE.owner,
        HOSTILE.site_address,
        HOSTILE.parcel,
        HOSTILE.prepared_for,
        HOSTILE.note,
        WORD,
    ):
        assert text is not None
        assert squeezed(text) in told
    assert len(pages("ledger-composite", HOSTILE)) == len(pages("ledger-composite"))


def test_pdf_long_words_stay_on_the_page() -> None:
    """Every piece of a word as wide as words come begins and ends within the margins."""
    ends: list[float] = []

    def seen(text: str, _: Any, matrix: list[float], __: Any, size: float) -> None:
        if "WWW" in text:
            # no letter of the font is wider than its size
            ends.append(matrix[4] + len(text.strip(BREAK + "\n")) * size)

    pdf("ledger-composite", HOSTILE).pages[0].extract_text(visitor_text=seen)
    assert ends
    assert max(ends) <= 612


def test_pdf_characters_the_fonts_lack_are_marked_and_said() -> None:
    first = pages("ledger-composite", HOSTILE)[0]
    # two of an alphabet the fonts lack, two that turn the order of reading, and the one that is explained
    assert first.count("\ufffd") == 5
    assert "\ufffdopq\ufffd" in first
    assert "a character was given that is not printed here" in first
    assert "\ufffd" not in pages("ledger-composite")[0]


@pytest.mark.parametrize("name", [ENGINEER, REFUSED])
def test_pdf_of_a_deck_that_is_not_prescriptive_says_so_on_every_page(name: str) -> None:
    words = report_of(name).verdict.status.replace("_", " ").upper()
    for page in pages(name):
        # once in the head of the page, once across it
        assert page.count(words) >= 2
    assert not any(words in page for page in pages("hillside"))


@pytest.mark.parametrize(("paper", "size"), [("letter", (792, 612)), ("tabloid", (1224, 792))])
def test_pdf_sheets_are_whole_pages_with_words_for_what_they_show(paper: str, size: tuple[int, int]) -> None:
    reader = pdf("ledger-composite", None, paper)
    sizes = [(page.mediabox.width, page.mediabox.height) for page in reader.pages]
    wide = [number for number, one in enumerate(sizes) if one == size]
    assert len(wide) == 2
    assert set(sizes) == {(612, 792), size}
    found = pages("ledger-composite", None, paper)
    assert "drawn framing_plan" in found[wide[0]]
    assert f"Page {wide[0] + 1} of {len(found)}" in found[wide[0]]
    assert ("Sheet section", wide[1]) in list(bookmarks(reader))
    assert tags(reader).count("/Figure") == 2


def test_pdf_has_the_same_bytes_in_every_process() -> None:
    code = (
        "import sys; sys.path[:0] = ['.', 'tests']\n"
        "from package_decks import report_of\n"
        "from service.typesetting.permit_package import set_package\n"
        "sys.stdout.buffer.write(set_package(report_of('ledger-composite'), None, ()))\n"
    )
    runs = [
        subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, check=True)
        for _ in range(2)
    ]
    own = set_package(report_of("ledger-composite"), None, ())
    digests = {hashlib.sha256(one).hexdigest() for one in (own, *(run.stdout for run in runs))}
    assert len(digests) == 1
    other = msgspec.structs.replace(report_of("ledger-composite"), as_of="2026-11-27")
    assert set_package(other, None, ()) != own
