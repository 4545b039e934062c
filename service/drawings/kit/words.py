"""What is ordered, in plain words, as a carpenter says it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from service.units.text import item_words

# kinds whose code has a diameter, a length and a coating
_BY_LENGTH = ("lag_screw", "bolt", "anchor", "structural_screw")


def piece_words(code: str) -> str:
    """Return an item code as a carpenter says it.

    >>> piece_words("lag_screw.1-2in.4in.hot_dip_galvanized")
    '1/2 x 4 in lag screw, hot-dip galvanized'
    >>> piece_words("joist_hanger.2x8.1ply.stainless_steel")
    'joist hanger, 2x8, 1ply, stainless steel'
    """
    kind, *rest = code.split(".")
    if kind in _BY_LENGTH and len(rest) == 3:
        across, long = (item_words(one).removesuffix(" in") for one in rest[:2])
        return f"{across} x {long} in {kind.replace('_', ' ')}, {_coat(rest[2])}"
    return _coat(item_words(code))


def _coat(words: str) -> str:
    return words.replace("hot_dip_", "hot-dip ").replace("hot dip", "hot-dip").replace("_", " ")


def pieces_words(codes: Iterable[str]) -> str:
    """Return pieces, one code each, counted.

    >>> pieces_words(["bolt.1-2in.8in.stainless_steel"] * 2 + ["washer.1-2in.stainless_steel"])
    '2 of 1/2 x 8 in bolt, stainless steel; 1 of washer, 1/2 in, stainless steel'
    """
    return "; ".join(f"{count} of {piece_words(code)}" for code, count in Counter(codes).items())
