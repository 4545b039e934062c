"""How much room letters take, and texts broken to a width."""

from __future__ import annotations

from typing import NamedTuple

from service.drawings.kit.advances import BOLD, CHARACTERS, REGULAR, UNITS_PER_EM

FONT = "DejaVu Sans Condensed"
# who lacks the font sees one about as wide; `textLength` then holds every text to its room
FONT_FAMILY = f"'{FONT}', 'Arial Narrow', Arial, sans-serif"
LEAST_SIZE_PT = 7.0
# of the size: from the line letters stand on to the top of the tallest, and to the bottom of the lowest
ASCENT, DESCENT = 0.93, 0.24
CAP_HEIGHT = 0.73

_REGULAR = dict(zip(CHARACTERS, REGULAR, strict=True))
_BOLD = dict(zip(CHARACTERS, BOLD, strict=True))


class Box(NamedTuple):
    """A rectangle on paper, pt; y grows downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Return whether two rectangles share more than an edge.

        >>> Box(0, 0, 2, 2).meets(Box(1, 1, 3, 3)), Box(0, 0, 2, 2).meets(Box(2, 0, 3, 2))
        (True, False)
        """
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def inside(self, other: Box) -> bool:
        """Return whether this rectangle lies in another one.

        >>> Box(1, 1, 2, 2).inside(Box(0, 0, 2, 2))
        True
        """
        return (
            self.left >= other.left
            and self.right <= other.right
            and self.top >= other.top
            and self.bottom <= other.bottom
        )


def width_pt(text: str, size_pt: float, bold: bool = False) -> float:
    """Return how wide a text is set, pt.

    >>> round(width_pt("16'-0\\"", 8), 2)
    21.62
    """
    table = _BOLD if bold else _REGULAR
    widest = UNITS_PER_EM
    return sum([table.get(letter, widest) for letter in text]) * size_pt / UNITS_PER_EM


def shortened(text: str, room_pt: float, size_pt: float, bold: bool = False) -> str:
    """Return a text that fits a width: cut, with three points, where it does not.

    >>> shortened("main.beam-1", 30, 8), shortened("B1", 30, 8)
    ('main...', 'B1')
    """
    if width_pt(text, size_pt, bold) <= room_pt:
        return text
    kept = text
    while kept and width_pt(kept + "...", size_pt, bold) > room_pt:
        kept = kept[:-1]
    return kept.rstrip() + "..."


def lines_of(text: str, room_pt: float, size_pt: float, bold: bool = False) -> list[str]:
    """Return a text broken into lines no wider than a width; a word wider than it is broken inside.

    A hard space (U+00A0) holds what stands on its two sides together.

    >>> lines_of("joists 16 in on centres", 60, 8)
    ['joists 16 in on', 'centres']
    """
    lines: list[str] = []
    for word in filter(None, text.replace("\n", " ").split(" ")):
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and width_pt(joined, size_pt, bold) <= room_pt:
            lines[-1] = joined
        else:
            lines += _broken(word, room_pt, size_pt, bold)
    return lines


def _broken(word: str, room_pt: float, size_pt: float, bold: bool) -> list[str]:
    pieces = [""]
    for letter in word:
        if pieces[-1] and width_pt(pieces[-1] + letter, size_pt, bold) > room_pt:
            pieces.append("")
        pieces[-1] += letter
    return pieces
