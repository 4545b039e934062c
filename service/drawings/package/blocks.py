"""The few kinds of block a package is made of; the typesetter knows how each looks, and no more."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Literal

import msgspec

Side = Literal["left", "right"]
# A word longer than this is given places to break at, so that it stays inside its column.
LONGEST_WORD = 24
BREAK = "\u200b"
_RUN = re.compile(rf"[^\s{BREAK}]{{{LONGEST_WORD}}}(?=[^\s{BREAK}])")
# Columns of ids are narrow: a name without a hyphen is broken after so many letters.
_NAME = re.compile(rf"\.(?!{BREAK})|[^\s.{BREAK}-]{{10}}(?=[^\s.{BREAK}-])")


class Block(msgspec.Struct, frozen=True, kw_only=True, tag_field="kind"):
    """One block of a page."""


class Column(msgspec.Struct, frozen=True):
    """A column of a table: its head, its share of the width, and the side it is set to."""

    title: str
    width: float = 1.0
    side: Side = "left"


class Table(Block, frozen=True, kw_only=True, tag="table"):
    """A table with a head that is repeated on every page it runs over."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]


class Fact(msgspec.Struct, frozen=True):
    """A name and what stands for it."""

    name: str
    value: str


class Facts(Block, frozen=True, kw_only=True, tag="facts"):
    """Names and values side by side."""

    title: str
    facts: tuple[Fact, ...]


class Paragraph(Block, frozen=True, kw_only=True, tag="paragraph"):
    """A text."""

    text: str


class Listing(Block, frozen=True, kw_only=True, tag="listing"):
    """A list; ``boxes`` puts a box to be ticked before each entry."""

    title: str
    items: tuple[str, ...]
    boxes: bool = False


class CheckRow(msgspec.Struct, frozen=True, kw_only=True):
    """One finding, with every check of the report it stands for."""

    ids: tuple[str, ...]
    cells: tuple[str, ...]
    citation: str
    working: tuple[str, ...]
    passes: bool


class CheckGroup(msgspec.Struct, frozen=True, kw_only=True):
    """Findings that the same members share."""

    members: str
    rows: tuple[CheckRow, ...]


class Checks(Block, frozen=True, kw_only=True, tag="checks"):
    """Findings of one kind of member."""

    title: str
    columns: tuple[Column, ...]
    groups: tuple[CheckGroup, ...]


class Statement(Block, frozen=True, kw_only=True, tag="statement"):
    """A few words that nobody overlooks, and why; ``whole_page`` sets them as wide as the page."""

    words: str
    because: tuple[str, ...]
    whole_page: bool = False


class Signature(Block, frozen=True, kw_only=True, tag="signature"):
    """Lines to be filled in by hand."""

    lines: tuple[str, ...]


AnyBlock = Table | Facts | Paragraph | Listing | Checks | Statement | Signature


class Section(msgspec.Struct, frozen=True, kw_only=True):
    """A part of the package, with a bookmark; ``new_page`` where it begins one."""

    title: str
    blocks: tuple[AnyBlock, ...]
    new_page: bool = False


class Sheet(msgspec.Struct, frozen=True, kw_only=True):
    """A drawing: its SVG, what it shows in words, and its paper in points."""

    name: str
    title: str
    alt: str
    svg: str
    width_pt: float
    height_pt: float


def soft(text: str) -> str:
    """Return a text whose long words may be broken where they stand in a column.

    >>> soft("a" * 30).split(BREAK)
    ['aaaaaaaaaaaaaaaaaaaaaaaa', 'aaaaaa']
    """
    return _RUN.sub(lambda found: found[0] + BREAK, text)


def breakable(ids: str) -> str:
    """Return ids that may be broken after each full stop and inside a long name of a level.

    >>> breakable("main.post-1-1").split(BREAK)
    ['main.', 'post-1-1']
    """
    return _NAME.sub(lambda found: found[0] + BREAK, ids)


def table(title: str, columns: Sequence[Column], rows: Iterable[Sequence[str]]) -> tuple[Table, ...]:
    """Return a table, or nothing where it has no row.

    >>> table("Beams", [Column("mark")], [])
    ()
    """
    cells = tuple(tuple(soft(cell) for cell in row) for row in rows)
    return (Table(title=title, columns=tuple(columns), rows=cells),) if cells else ()


def fact_table(title: str, given: Iterable[tuple[str, str | None]]) -> tuple[Facts, ...]:
    """Return names with values; those without a value are left out.

    >>> fact_table("Job", [("owner", None)])
    ()
    """
    found = tuple(Fact(name, value) for name, value in given if value)
    return (Facts(title=title, facts=found),) if found else ()


def listing(title: str, items: Iterable[str], *, boxes: bool = False) -> tuple[Listing, ...]:
    """Return a list, or nothing where it has no entry.

    >>> listing("Permits", [])
    ()
    """
    found = tuple(soft(item) for item in items)
    return (Listing(title=title, items=found, boxes=boxes),) if found else ()
