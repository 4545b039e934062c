"""Which characters are printed: a page may hold none that its fonts lack, so others get a mark in their place."""

from __future__ import annotations

import re
import struct
from collections.abc import Iterator
from functools import cache
from importlib.resources import files

LACKING = "\ufffd"
_FONTS = files("service") / "typesetting" / "fonts"
_SEGMENTED = 12
# Ends of line and paragraph, which a text of one line has no use for, and what turns the order of reading round:
# a page must not read otherwise than its text is written. Marks of direction alone, U+200E and U+200F, may stay.
_NOT_PRINTED = {0x2028, 0x2029, *range(0x202A, 0x202F), *range(0x2066, 0x206A)}


@cache
def _others() -> re.Pattern[str]:
    """Characters that some font here lacks, or that are not to be printed."""
    fonts = [_FONTS / "DejaVuSansCondensed.ttf", _FONTS / "DejaVuSansCondensed-Bold.ttf"]
    shared = set.intersection(*({*_characters(font.read_bytes())} for font in fonts)) - _NOT_PRINTED
    return re.compile(f"[^{''.join(map(_range, _ranges(sorted(shared))))}]")


def printable(text: str) -> str:
    """Return a text in which characters that the fonts lack, or that are not to be printed, are U+FFFD.

    >>> printable("12 日 Lane")
    '12 � Lane'
    """
    return text if text.isascii() else _others().sub(LACKING, text)


def _characters(font: bytes) -> Iterator[int]:
    """The characters of a font: format 12 of its `cmap` table (OpenType 1.9, cmap; all numbers big-endian)."""
    at = _cmap_offset(font)
    (count,) = struct.unpack_from(">H", font, at + 2)
    records = (struct.unpack_from(">HHI", font, at + 4 + 8 * number) for number in range(count))
    for _, _, offset in records:
        if struct.unpack_from(">H", font, at + offset) == (_SEGMENTED,):
            yield from _segments(font, at + offset)


def _cmap_offset(font: bytes) -> int:
    (count,) = struct.unpack_from(">H", font, 4)
    tables = (struct.unpack_from(">4sIII", font, 12 + 16 * number) for number in range(count))
    return next(int(offset) for tag, _, offset, _ in tables if tag == b"cmap")


def _segments(font: bytes, at: int) -> Iterator[int]:
    (count,) = struct.unpack_from(">I", font, at + 12)
    for number in range(count):
        first, last, _ = struct.unpack_from(">III", font, at + 16 + 12 * number)
        yield from range(first, last + 1)


def _ranges(points: list[int]) -> Iterator[tuple[int, int]]:
    start = before = points[0]
    for point in [*points[1:], -1]:
        if point != before + 1:
            yield start, before
            start = point
        before = point


def _range(ends: tuple[int, int]) -> str:
    return f"\\U{ends[0]:08x}-\\U{ends[1]:08x}"
