"""How wide letters are, against the font itself."""

from __future__ import annotations

from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from service.drawings.kit.advances import BOLD, CHARACTERS, REGULAR, UNITS_PER_EM
from service.drawings.kit.lettering import lines_of, shortened, width_pt

FONTS = Path(__file__).parents[2] / "service" / "typesetting" / "fonts"
TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=130)


@pytest.mark.parametrize(
    ("file", "table"), [("DejaVuSansCondensed.ttf", REGULAR), ("DejaVuSansCondensed-Bold.ttf", BOLD)]
)
def test_widths_are_those_of_the_font(file: str, table: tuple[int, ...]) -> None:
    """Read by fontTools, a library of others."""
    font = TTFont(FONTS / file)
    names, widths = font.getBestCmap(), font["hmtx"]
    assert font["head"].unitsPerEm == UNITS_PER_EM
    assert {one: widths[names[ord(one)]][0] for one in CHARACTERS} == dict(
        zip(CHARACTERS, table, strict=True)
    )


def test_a_width_is_the_sum_of_its_letters() -> None:
    letters = dict(zip(CHARACTERS, REGULAR, strict=True))
    assert width_pt("B2", 10) == pytest.approx((letters["B"] + letters["2"]) * 10 / 2048)


@given(TEXTS, st.floats(20, 400))
def test_a_shortened_text_fits_and_begins_as_it_did(text: str, room_pt: float) -> None:
    found = shortened(text, room_pt, 8)
    assert width_pt(found, 8) <= room_pt
    assert text.startswith(found.removesuffix("..."))


@given(st.lists(TEXTS, min_size=1, max_size=12).map(" ".join), st.floats(20, 400))
def test_lines_hold_every_letter_and_none_is_wider_than_its_room(text: str, room_pt: float) -> None:
    found = lines_of(text, room_pt, 8)
    assert "".join(found).replace(" ", "") == "".join(text.split())
    assert all(width_pt(line, 8) <= room_pt for line in found)
