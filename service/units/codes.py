"""Item codes as people read them."""

from __future__ import annotations

import re

_INCHES = re.compile(r"(?<![a-z0-9])(?:(\d+)-)??(?:(\d+)-(\d+)|(\d+))in\b")


def in_words(code: str) -> str:
    """Return an item code in words.

    >>> in_words("lag_screw.1-2in.4in.hot_dip_galvanized"), in_words("round_2-7-8in")
    ('lag screw, 1/2 in, 4 in, hot dip galvanized', 'round 2 7/8 in')
    """
    return ", ".join(_INCHES.sub(_said, part.replace("_", " ")) for part in code.split("."))


def _said(found: re.Match[str]) -> str:
    whole, over, under, plain = found.groups()
    fraction = f"{over}/{under}" if over else plain
    return f"{whole} {fraction} in" if whole else f"{fraction} in"


def first_inches(code: str) -> float | None:
    """Return the first length in an item code, in; null where it has none.

    >>> first_inches("round_2-7-8in"), first_inches("bolt.1-2in.6in"), first_inches("post_cap")
    (2.875, 0.5, None)
    """
    found = _INCHES.search(code)
    if found is None:
        return None
    whole, over, under, plain = found.groups()
    part = int(over) / int(under) if over else float(plain)
    return part + int(whole or 0)
