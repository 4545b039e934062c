"""Lengths as a builder says them, and texts as sentences."""

from __future__ import annotations

import re
from fractions import Fraction

_INCHES = re.compile(r"\b(?:(\d+)-)??(?:(\d+)-(\d+)|(\d+))in\b")


def feet_inches(length_in: float, denominator: int = 16) -> str:
    """Return a length in feet, inches and fractions.

    >>> print(feet_inches(141), feet_inches(7.75), feet_inches(192), feet_inches(12.5))
    11'-9" 7 3/4" 16'-0" 1'-0 1/2"
    """
    sixteenths = round(length_in * denominator)
    feet, rest = divmod(abs(sixteenths), 12 * denominator)
    sign = "-" if sixteenths < 0 else ""
    whole, part = divmod(rest, denominator)
    # a foot mark and a fraction with nothing between them are misread
    inches = (
        f"{whole} {Fraction(part, denominator)}"
        if part and (whole or feet)
        else str(Fraction(rest, denominator))
    )
    return f"{sign}{feet}'-{inches}\"" if feet else f'{sign}{inches}"'


def inches(length_in: float, denominator: int = 16) -> str:
    """Return a length in inches and fractions, without the unit: as it is marked on a board.

    >>> inches(140.25), inches(0.125), inches(48), inches(0)
    ('140 1/4', '1/8', '48', '0')
    """
    whole, part = divmod(round(length_in * denominator), denominator)
    fraction = str(Fraction(part, denominator))
    return f"{whole} {fraction}" if whole and part else fraction if part else str(whole)


def sentence(text: str) -> str:
    """Return a text for people as a sentence; a member's id at its start stays as it is.

    >>> sentence("have the piles listed"), sentence("main.beam-1: too long"), sentence("Ask.")
    ('Have the piles listed.', 'main.beam-1: too long.', 'Ask.')
    """
    first = text.partition(" ")[0]
    begun = text[:1].upper() + text[1:] if first.isalpha() else text
    return begun if begun.endswith((".", "!", "?")) else f"{begun}."


def item_words(code: str) -> str:
    """Return an item code in words.

    >>> item_words("lag_screw.1-2in.4in.hot_dip_galvanized"), item_words("round_2-7-8in")
    ('lag screw, 1/2 in, 4 in, hot dip galvanized', 'round 2 7/8 in')
    """
    return ", ".join(_INCHES.sub(_inch_words, part.replace("_", " ")) for part in code.split("."))


def _inch_words(found: re.Match[str]) -> str:
    whole, over, under, plain = found.groups()
    fraction = f"{over}/{under}" if over else plain
    return f"{whole} {fraction} in" if whole else f"{fraction} in"
