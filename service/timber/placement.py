"""Where a bolt or lag screw may sit: distances to end and edge, and spacing."""

from __future__ import annotations

from typing import Final

import msgspec

from service.timber.refusal import NoRule

LEAST_IN: Final = 0.25
FARTHEST_ROWS_IN: Final = 5.0


class Placement(msgspec.Struct, frozen=True):
    """Least distances for the full value and the least allowed at all, in.

    Source: NDS 12.5.1 (from memory). ``loaded_edge_in`` is the edge the load pushes toward; between the full
    and the least end distance or spacing the value is reduced in proportion (geometry factor).

    >>> Placement.__struct_fields__[0]
    'end_full_in'
    """

    end_full_in: float
    end_least_in: float
    loaded_edge_in: float
    unloaded_edge_in: float
    in_row_full_in: float
    in_row_least_in: float
    between_rows_in: float
    rows_at_most_in: float


def _row_spacing_in(diameter_in: float, length_in: float) -> float:
    slender = length_in / diameter_in
    if slender <= 2:
        return 2.5 * diameter_in
    if slender >= 6:
        return 5.0 * diameter_in
    return (5 * length_in + 10 * diameter_in) / 8


def placement(diameter_in: float, length_in: float, load: str) -> Placement | NoRule:
    """Return the distances a bolt or lag screw needs in a part, in.

    Source: NDS Tables 12.5.1A to 12.5.1D (from memory), softwood.

    Args:
        diameter_in: nominal diameter, in.
        length_in: bearing length in the thinner part, in.
        load: ``across`` the grain, ``along_tension`` (toward the end) or ``along_compression``.

    Returns:
        The distances, in, or a refusal under 1/4 in, where the rule is only that the wood does not split.

    >>> placement(0.5, 1.5, "across").loaded_edge_in, placement(0.5, 1.5, "along_tension").end_full_in
    (2.0, 3.5)
    """
    d = diameter_in
    if d < LEAST_IN:
        return NoRule(
            "NDS 12.5.1 gives distances from 1/4 in diameter on; thinner fasteners must not split the wood"
        )
    if load == "across":
        rows = _row_spacing_in(d, length_in)
        return Placement(4 * d, 2 * d, 4 * d, 1.5 * d, 4 * d, 3 * d, rows, FARTHEST_ROWS_IN)
    if load not in ("along_tension", "along_compression"):
        return NoRule(f"no distances for load {load!r}")
    full, least = (7.0, 3.5) if load == "along_tension" else (4.0, 2.0)
    return Placement(full * d, least * d, 1.5 * d, 1.5 * d, 4 * d, 3 * d, 1.5 * d, FARTHEST_ROWS_IN)


def geometry_factor(given_in: float, full_in: float, least_in: float) -> float | NoRule:
    """Return the geometry factor for an end distance or spacing short of the full one, a ratio.

    Source: NDS 12.5.1.2 (from memory): in proportion to the full distance; none under the least.

    Args:
        given_in: the distance there is, in.
        full_in: the distance for the full value, in.
        least_in: the least distance, in.

    Returns:
        The factor, 1.0 or less, or a refusal.

    >>> geometry_factor(1.5, 2.0, 1.0), geometry_factor(0.5, 2.0, 1.0).why
    (0.75, 'a distance of 0.5 in is under the least, 1 in (NDS 12.5.1)')
    """
    if given_in < least_in:
        return NoRule(f"a distance of {given_in:g} in is under the least, {least_in:g} in (NDS 12.5.1)")
    return min(1.0, given_in / full_in)
