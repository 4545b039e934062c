"""Which characters a page prints, against the fonts as another library reads them (fontTools)."""

from __future__ import annotations

import sys
from pathlib import Path

from fontTools.ttLib import TTFont

from service.typesetting.glyphs import LACKING, printable

FONTS = Path(__file__).parents[2] / "service" / "typesetting" / "fonts"
# line and paragraph separator, then embeddings, overrides and isolates of direction (Unicode 16, chapter 23.2)
NOT_PRINTED = {0x2028, 0x2029, *range(0x202A, 0x202F), *range(0x2066, 0x206A)}
SURROGATES = range(0xD800, 0xE000)


def test_glyphs_printed_are_those_both_fonts_have() -> None:
    regular, bold = (
        set(TTFont(FONTS / f"DejaVuSansCondensed{one}.ttf").getBestCmap()) for one in ("", "-Bold")
    )
    every = [point for point in range(128, sys.maxunicode + 1) if point not in SURROGATES]
    kept = printable("".join(map(chr, every)))
    printed = {
        point for point, now in zip(every, kept, strict=True) if now != LACKING or point == ord(LACKING)
    }
    assert printed == {point for point in (regular & bold) - NOT_PRINTED if point >= 128}
