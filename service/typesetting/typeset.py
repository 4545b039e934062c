"""Set pages as PDF from a template of ours and a caller's data."""

from __future__ import annotations

from collections.abc import Mapping
from importlib.resources import as_file, files
from threading import Thread

import msgspec
import typst

from service.typesetting.glyphs import printable

_ROOM = files("service") / "typesetting"
# After so many more documents the typesetter lets go of what it kept of one: 300 MB for the largest deck.
_KEPT_FOR = 10


def typeset(template: str, data: object, pictures: Mapping[str, str]) -> bytes:
    """Return a tagged PDF: a template of this folder filled with data and pictures.

    Data and pictures reach the template as values, never as source: what looks like a command in a caller's text is
    printed as it stands; what `printable` leaves out is printed as U+FFFD. Only the fonts of this folder are used and
    every page set from the same values has the same bytes; no clock is read.

    Args:
        template: file name of the template, without `.typ`.
        data: what JSON can hold, or msgspec structs.
        pictures: SVG by name.

    >>> typeset("sheets", {"title": "One", "language": "en", "sheets": []}, {})[:5]
    b'%PDF-'
    """
    given = printable(msgspec.json.encode({"data": data, "pictures": pictures}).decode())
    with as_file(_ROOM) as folder:
        compiler = typst.Compiler(
            input=str(folder / f"{template}.typ"),
            root=str(folder),
            font_paths=[str(folder / "fonts")],
            ignore_system_fonts=True,
            sys_inputs={"given": given},
        )
        found = compiler.compile(format="pdf", pdf_standards=["ua-1"])
    # nobody waits for it; a process that ends does, since a typesetter may not be cut off
    Thread(target=_let_go).start()
    if not isinstance(found, bytes):
        raise TypeError("the typesetter gave pages apart, not one document")
    return found


def _let_go() -> None:
    """Set empty pages, so that the memory of large documents does not add up: no two are alike, so none is missed."""
    with as_file(_ROOM) as folder:
        blank = typst.Compiler(input=str(folder / "blank.typ"), root=str(folder), ignore_system_fonts=True)
        for _ in range(_KEPT_FOR + 1):
            blank.compile(format="pdf")
