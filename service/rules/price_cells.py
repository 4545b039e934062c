"""The cells of a price book: what each column takes, and what is said of a cell that cannot be read."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping
from datetime import date
from decimal import Decimal
from itertools import pairwise
from typing import Any, NamedTuple, get_args

from service.contract.faults import FIRST_DAY, LAST_DAY
from service.contract.price_book import Availability, QuantityUnit
from service.contract.problem import Allowed

ITEM_KINDS = frozenset({
    "lumber", "post", "decking", "fascia", "guard", "stair_tread", "ledger_fastener", "structural_screw",
    "lag_screw", "bolt", "washer", "decking_screw", "nail", "joist_hanger", "uplift_tie", "post_base",
    "post_cap", "saddle", "lateral_device", "stringer_connector",
    "framing_angle", "handrail_bracket", "preservative",
    "guard_post_connector", "anchor", "ledger_flashing", "flashing_tape", "concrete", "form",
    "reinforcement", "aggregate", "pier_block", "pile", "helical_pile", "pile_extension", "pile_cap", "rental",
    "service", "fee", "labour", "laminated_veneer_lumber", "light_gauge_steel", "web_stiffener",
    "self_drilling_screw", "isolation_tape",
})  # fmt: skip

LONGEST_TEXT = 120
MOST_COUNT, MOST_LENGTH_FT = 999_999, 99.99
_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_ITEM = re.compile(r"[a-z][a-z0-9_]*(\.[a-z0-9][a-z0-9_-]*){1,6}")
_SKU = re.compile(r"[A-Za-z0-9][A-Za-z0-9._/-]{0,39}")
_COUNT = re.compile(r"[1-9][0-9]{0,5}")
_LENGTH = re.compile(r"[1-9][0-9]?(\.[0-9]{1,2})?")
_PRICE = re.compile(r"[0-9]{1,9}\.[0-9]{2,4}")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_CURRENCY = re.compile(r"[A-Z]{3}")


class PriceBreak(NamedTuple):
    """A lower price from a quantity on."""

    at_least: int
    unit_price: Decimal


class Unusable(ValueError):
    """A cell that cannot be read; the message says what is allowed.

    Attributes:
        code: kind of fault, a word of the registry's list `error`
        allowed: the same for programs, where it can be said
    """

    def __init__(self, text: str, code: str = "bad_pattern", allowed: Allowed | None = None) -> None:
        super().__init__(text)
        self.code = code
        self.allowed = allowed


Reader = Callable[[str], Any]


def shown(text: str) -> str:
    """Return a cell as a message shows it: quoted, and short whatever was sent.

    >>> shown("12ft"), len(shown("x" * 5000))
    ("'12ft'", 43)
    """
    return repr(text if len(text) <= 40 else f"{text[:40]}…")


def _pattern(pattern: re.Pattern[str]) -> Allowed:
    return Allowed(pattern=f"^{pattern.pattern}$")


def _matching(pattern: re.Pattern[str], allowed: str, convert: Callable[[str], Any] = str) -> Reader:
    def read(text: str) -> Any:
        if not pattern.fullmatch(text):
            raise Unusable(f"{shown(text)} is not {allowed}", allowed=_pattern(pattern))
        return convert(text)

    return read


def _one_of(words: tuple[str, ...]) -> Reader:
    def read(text: str) -> str:
        if text not in words:
            detail = f"{shown(text)} is none of {', '.join(words)}"
            raise Unusable(detail, "not_in_list", Allowed(one_of=words))
        return text

    return read


def _optional(reader: Reader, absent: Any = None) -> Reader:
    return lambda text: reader(text) if text else absent


def _day(text: str) -> date:
    if not _DAY.fullmatch(text):
        detail = f"{shown(text)} is no day; it is written year-month-day, like 2026-11-25"
        raise Unusable(detail, allowed=_pattern(_DAY))
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise Unusable(f"{shown(text)} is no day of the calendar") from None
    if not FIRST_DAY <= day <= LAST_DAY:
        allowed = Allowed(min=FIRST_DAY.isoformat(), max=LAST_DAY.isoformat())
        raise Unusable(f"{day} is not within {FIRST_DAY} to {LAST_DAY}", "date_out_of_range", allowed)
    return day


def _last_day(text: str) -> date:
    try:
        return _day(text)
    except Unusable as unusable:
        detail = f"{unusable}; leave it out where no last day is known"
        raise Unusable(detail, unusable.code, unusable.allowed) from None


def _id(text: str) -> str:
    if not (3 <= len(text) <= 40 and _ID.fullmatch(text)):
        detail = f"{shown(text)} is no id: 3 to 40 small letters and digits, parts joined by hyphens"
        raise Unusable(detail, allowed=_pattern(_ID))
    return text


def _price(text: str) -> Decimal:
    if not _PRICE.fullmatch(text) or not Decimal(text):
        detail = f"{shown(text)} is no price: 0.0001 to 999999999.9999, with 2 to 4 decimals, like 12.50"
        raise Unusable(
            detail, allowed=Allowed(min="0.0001", max="999999999.9999", pattern=f"^{_PRICE.pattern}$")
        )
    return Decimal(text)


def _item(text: str) -> str:
    if not _ITEM.fullmatch(text):
        detail = f"{shown(text)} is no item: kind, then 1 to 6 attributes, joined by full stops"
        raise Unusable(detail, allowed=_pattern(_ITEM))
    if text.partition(".")[0] not in ITEM_KINDS:
        known = tuple(sorted(ITEM_KINDS))
        detail = f"{shown(text)} is of an unknown kind; known are {', '.join(known)}"
        raise Unusable(detail, "not_in_list", Allowed(one_of=known))
    return text


def _free_text(text: str) -> str:
    if len(text) > LONGEST_TEXT:
        detail = f"{len(text)} characters, at most {LONGEST_TEXT} taken"
        raise Unusable(detail, "too_long", Allowed(max=float(LONGEST_TEXT)))
    # Whatever a spreadsheet would take for a formula begins with another character.
    if not text[:1].isalnum():
        raise Unusable(f"{shown(text)} does not begin with a letter or digit")
    if unicodedata.normalize("NFC", text) != text or any(unicodedata.category(c)[0] == "C" for c in text):
        raise Unusable(f"{shown(text)}: no control characters, and letters in their composed form")
    return text


def _breaks(text: str) -> tuple[PriceBreak, ...]:
    found = tuple(_break(part) for part in text.split(";")) if text else ()
    for before, after in pairwise(found):
        if before.at_least >= after.at_least or before.unit_price <= after.unit_price:
            detail = "each break is for more pieces and at a lower price than the one before it"
            raise Unusable(f"{shown(text)}: {detail}", "out_of_range")
    return found


def _break(text: str) -> PriceBreak:
    count, colon, price = text.partition(":")
    if not colon or not _COUNT.fullmatch(count):
        raise Unusable(f"{shown(text)} is no break; breaks are written like 10:3.25;50:3.10")
    return PriceBreak(int(count), _price(price))


_count = _matching(_COUNT, f"a whole number from 1 to {MOST_COUNT}", int)
PREAMBLE_READERS: Mapping[str, Reader] = {
    "id": _id,
    "version": _count,
    "organisation": _id,
    "currency": _matching(_CURRENCY, "three capital letters, like USD"),
    "effective_from": _day,
    "effective_to": _optional(_last_day),
    "tax_included": _matching(re.compile("(true|false)"), "true or false", lambda text: text == "true"),
}
COLUMN_READERS: Mapping[str, Reader] = {
    "item": _item,
    "sku": _matching(_SKU, "a stock number: 1 to 40 letters, digits and . _ / -"),
    "description": _free_text,
    "unit": _one_of(get_args(QuantityUnit)),
    "length_ft": _optional(_matching(_LENGTH, f"a length in feet from 1 to {MOST_LENGTH_FT}", float)),
    "unit_price": _price,
    "breaks": _breaks,
    "pack_quantity": _optional(_count),
    "availability": _one_of(get_args(Availability)),
    "note": _optional(_free_text, ""),
}
