"""The order as CSV for a spreadsheet or a yard's system."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence

from service.contract.report import Caution
from service.contract.report_order import (
    ConcreteLine,
    DeckingLine,
    GroundworkLine,
    OrderLine,
    StockLine,
    Takeoff,
)
from service.takeoff.groundwork import SPOIL
from service.units.text import sentence

COLUMNS = (
    "line_kind", "item", "length_ft", "quantity", "unit", "sku", "unit_price", "extended", "currency",
    "verdict", "note", "availability", "instead_of", "members",
)  # fmt: skip
# A spreadsheet reads a cell that begins with one of these as a formula; some read the wide forms alike.
FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
Line = StockLine | DeckingLine | OrderLine | ConcreteLine | GroundworkLine


def as_csv(takeoff: Takeoff, verdict_status: str, cautions: Sequence[Caution]) -> str:
    """Return the order as CSV: a line for each item, each unpriced item and each caution.

    Every line repeats the verdict, so that a list cut out of the file still shows it.
    """
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS, restval="", lineterminator="\r\n")
    writer.writeheader()
    for row in (*_items(takeoff), *_unpriced(takeoff), *_cautions(cautions)):
        writer.writerow({key: safe(value) for key, value in {**row, "verdict": verdict_status}.items()})
    return text.getvalue()


def safe(cell: object) -> str:
    """Return a cell that no spreadsheet takes for a formula.

    >>> safe("=1+1"), safe("BT-01"), safe(None), safe(12.0)
    ("'=1+1", 'BT-01', '', '12')
    """
    if cell is None:
        return ""
    text = str(cell).removesuffix(".0") if isinstance(cell, float) else str(cell)
    return f"'{text}" if text.startswith(FORMULA_SIGNS) else text


def _items(takeoff: Takeoff) -> Iterator[dict[str, object]]:
    bought: Iterable[Line] = (*takeoff.stock, *takeoff.decking, *takeoff.hardware, *takeoff.concrete)
    for line in (*bought, *takeoff.groundwork):
        # With prices, a line that has none is an unpriced line, and is not given twice.
        if line.extended or takeoff.total is None or line.item == SPOIL:
            yield {**_item(line), **_stands_for(line, takeoff)}


def _stands_for(line: Line, takeoff: Takeoff) -> dict[str, object]:
    """What a line replaces and why, why concrete comes as it does, and the members a line serves."""
    replaced = [one for one in takeoff.substitutions if one.instead == line.item]
    words = (getattr(line, "because", ""), *(one.because for one in replaced))
    served = getattr(line, "members", None) or [
        member for piece in takeoff.pieces if piece.item == line.item for member in piece.members
    ]
    return {
        "note": " ".join(sentence(text) for text in words if text),
        "availability": line.availability,
        "instead_of": " ".join(dict.fromkeys(one.item for one in replaced)),
        "members": " ".join(dict.fromkeys(served)),
    }


def _item(line: Line) -> dict[str, object]:
    return {
        "line_kind": "quantity" if line.item == SPOIL else "item",
        "item": line.item,
        "length_ft": getattr(line, "length_ft", None),
        "quantity": line.quantity,
        "unit": getattr(line, "unit", "piece"),
        "sku": line.sku,
        "unit_price": line.unit_price,
        "extended": line.extended.amount if line.extended else None,
        "currency": line.extended.currency if line.extended else None,
    }


def _unpriced(takeoff: Takeoff) -> Iterator[dict[str, object]]:
    for line in takeoff.unpriced:
        yield {
            "line_kind": "unpriced",
            "item": line.item,
            "quantity": line.quantity,
            "unit": line.unit,
            "note": sentence(line.because),
        }


def _cautions(cautions: Sequence[Caution]) -> Iterator[dict[str, object]]:
    for caution in cautions:
        note = f"{sentence(caution.text)} {sentence(caution.action)}"
        yield {"line_kind": "caution", "item": caution.code, "note": note}
