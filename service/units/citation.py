"""Where a number comes from."""

from __future__ import annotations

import msgspec


class CitedRow(msgspec.Struct, frozen=True):
    """One key of a table row that was read.

    >>> CitedRow("nominal_size", "2x10").value
    '2x10'
    """

    name: str
    value: str


class Citation(msgspec.Struct, frozen=True):
    """Document, edition, section and table cell behind a figure.

    ``status`` says how well it is known: ``two_sources``, ``one_source``, ``second_hand``, ``memory``,
    ``common_practice`` or ``own_convention``.

    >>> Citation(document="IRC", edition="2021", section="R507.6").section
    'R507.6'
    """

    document: str
    edition: str | None = None
    section: str | None = None
    table: str | None = None
    rows: tuple[CitedRow, ...] = ()
    column: str | None = None
    table_url: str | None = None
    status: str = "one_source"


def common_practice(what: str) -> Citation:
    """Cite a habit of the trade that no document was found for.

    >>> common_practice("mid-span blocking").status
    'common_practice'
    """
    return Citation(document="common practice, no source", section=what, status="common_practice")


def own_convention(what: str) -> Citation:
    """Cite a convention or limit this service chose itself.

    >>> own_convention("end joist spacing").document
    'convention of this service'
    """
    return Citation(document="convention of this service", section=what, status="own_convention")


def from_memory(document: str, what: str) -> Citation:
    """Cite a figure that was remembered, not read.

    >>> from_memory("IRC", "R105.2").status
    'memory'
    """
    return Citation(document=document, section=what, status="memory")
