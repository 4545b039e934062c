"""Dressed sections of sawn lumber and the size class their design values stand in."""

from __future__ import annotations

from typing import Final

import msgspec

from service.timber.refusal import NoRule

# NDS Supplement Table 1B (from memory); the deck tables assume dry dressed sizes.
DIMENSION_IN: Final[dict[int, float]] = {2: 1.5, 3: 2.5, 4: 3.5, 5: 4.5, 6: 5.5, 8: 7.25, 10: 9.25, 12: 11.25}
TIMBER_LESS_IN: Final = 0.5
TIMBER_FROM: Final = 5
WIDE_BY: Final = 2  # a timber more than 2 in wider than thick is a beam, with other values
# Southern Pine has its size effect in the value: classes by width.
BY_WIDTH: Final = {2: "2-4_wide", 3: "2-4_wide", 4: "2-4_wide", 5: "5-6_wide", 6: "5-6_wide"}


class Section(msgspec.Struct, frozen=True):
    """A rectangular section bent about its strong axis, in.

    Source: geometry. ``width_in`` is the whole width of all plies.

    >>> Section("2x10", 1, 1.5, 9.25).area_sqin
    13.875
    """

    nominal: str
    plies: int
    width_in: float
    depth_in: float

    @property
    def area_sqin(self) -> float:
        """Area, in2."""
        return self.width_in * self.depth_in

    @property
    def modulus_in3(self) -> float:
        """Section modulus, in3."""
        return self.width_in * self.depth_in**2 / 6

    @property
    def inertia_in4(self) -> float:
        """Moment of inertia, in4."""
        return self.width_in * self.depth_in**3 / 12

    @property
    def thickness(self) -> int:
        """Nominal thickness of one ply."""
        return int(self.nominal.split("x")[0])

    @property
    def wide(self) -> int:
        """Nominal width of one ply."""
        return int(self.nominal.split("x")[1])

    @property
    def is_timber(self) -> bool:
        """Whether the piece is 5x5 or larger."""
        return self.thickness >= TIMBER_FROM


def section(nominal: str, plies: int = 1) -> Section | NoRule:
    """Return the dressed section of a nominal size and number of plies, in.

    Source: NDS Supplement Table 1B (from memory): dimension lumber, and posts 5x5 and larger 1/2 in off.

    Args:
        nominal: size such as ``2x10`` or ``6x6``.
        plies: pieces side by side, 1 or more.

    Returns:
        The section, in, or a refusal for a size the tables of values do not reach.

    Limits of validity: 2 to 4 in thick up to 12 in wide; timbers at most 2 in wider than thick.

    >>> section("2x10", 3).width_in, section("8x8").depth_in
    (4.5, 7.5)
    >>> section("2x14").why
    'no dressed size for 2x14'
    """
    thick, _, wide = nominal.partition("x")
    refusal = NoRule(f"no dressed size for {nominal}")
    if plies < 1 or not (thick.isdigit() and wide.isdigit()):
        return refusal
    a, b = int(thick), int(wide)
    if a >= TIMBER_FROM:
        square = a <= b <= a + WIDE_BY and b <= 12
        return (
            Section(nominal, plies, plies * (a - TIMBER_LESS_IN), b - TIMBER_LESS_IN) if square else refusal
        )
    if a in DIMENSION_IN and b in DIMENSION_IN and a <= b:
        return Section(nominal, plies, plies * DIMENSION_IN[a], DIMENSION_IN[b])
    return refusal


def size_class(species: str, nominal: Section) -> str:
    """Return the size class a section's design values stand under; no unit.

    Source: NDS Supplement Tables 4A (by thickness), 4B (Southern Pine, by width) and 4D (posts and timbers).

    Args:
        species: species key.
        nominal: the section.

    Returns:
        The class key of the design value table.

    >>> size_class("southern_pine", section("2x10")), size_class("hem_fir", section("4x6"))
    ('10_wide', '2-4_thick')
    """
    if nominal.is_timber:
        return "5x5_and_larger"
    if species == "southern_pine":
        return BY_WIDTH.get(nominal.wide, f"{nominal.wide}_wide")
    return "2-4_thick"
