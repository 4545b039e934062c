"""The wall a ledger would hang on, whichever edge of the deck touches it."""

from __future__ import annotations

from dataclasses import dataclass

from service.contract.spec_site import EdgeWallSpec, HouseSpec

BAND_WALLS = ("wood_band", "engineered_rim")


@dataclass(frozen=True)
class WallBehind:
    """A wall behind a ledger; heights above the grade datum and thicknesses, in.

    ``rim_thickness_in`` is null where nobody measured it, which is the rule.
    """

    wall: str
    foundation_wall: str = "unknown"
    door_sill_height_in: float | None = None
    rim_depth_in: float | None = None
    floor_build_up_in: float = 1.5
    sill_plate_in: float = 1.5
    sheathing_thickness_in: float = 0.5
    floor_joist_direction: str = "unknown"
    rim_thickness_in: float | None = None


def house_wall(house: HouseSpec) -> WallBehind:
    """Return the house wall at y = 0 as a wall behind a ledger, lengths in in.

    Source: the caller's spec.

    >>> house_wall(HouseSpec(wall="wood_band")).sheathing_thickness_in
    0.5
    """
    return WallBehind(
        wall=house.wall,
        foundation_wall=house.foundation_wall,
        door_sill_height_in=house.door_sill_height_in,
        rim_depth_in=house.rim_depth_in,
        floor_build_up_in=house.floor_build_up_in,
        sill_plate_in=house.sill_plate_in,
        sheathing_thickness_in=house.sheathing_thickness_in,
        floor_joist_direction=house.floor_joist_direction,
    )


def edge_wall(house: HouseSpec, edge: EdgeWallSpec) -> WallBehind:
    """Return another wall the deck touches; what its spec leaves out is the house's, lengths in in.

    Source: the caller's spec. The direction of the floor joists is known for the house wall only.

    >>> edge_wall(HouseSpec(), EdgeWallSpec(edge=3, wall="brick_veneer")).floor_joist_direction
    'unknown'
    """
    return WallBehind(
        wall=edge.wall,
        foundation_wall=edge.foundation_wall,
        door_sill_height_in=edge.door_sill_height_in,
        rim_depth_in=edge.rim_depth_in,
        floor_build_up_in=house.floor_build_up_in,
        sill_plate_in=house.sill_plate_in,
        sheathing_thickness_in=house.sheathing_thickness_in,
    )
