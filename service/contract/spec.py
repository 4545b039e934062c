"""The request types: a deck spec and its parts. Null is the same as absent everywhere."""

from __future__ import annotations

import datetime as dt
from typing import Annotated

import msgspec
from msgspec import Meta, field

from service.contract.spec_level import DeckingSpec, GuardSpec, HeavyObjectSpec, LevelSpec, StairSpec
from service.contract.spec_site import EdgeWallSpec, GradePointSpec, HouseSpec, PropertyLineSpec, SiteSpec
from service.contract.spec_wishes import CostCeiling, CrewSpec, FoundationSpec, FramingSpec, ScheduleSpec

__all__ = [
    "CostCeiling",
    "CrewSpec",
    "DeckSpec",
    "DeckingSpec",
    "EdgeWallSpec",
    "FoundationSpec",
    "FramingSpec",
    "GradePointSpec",
    "GuardSpec",
    "HeavyObjectSpec",
    "HouseSpec",
    "LevelSpec",
    "PropertyLineSpec",
    "ScheduleSpec",
    "SiteSpec",
    "StairSpec",
]

VERSIONED_ID = r"^[a-z][a-z0-9]*(-[a-z0-9]+)*(@[1-9][0-9]{0,5})?$"
PINNED_ID = r"^[a-z][a-z0-9]*(-[a-z0-9]+)*@[1-9][0-9]{0,5}$"
VersionedId = Annotated[str, Meta(min_length=3, max_length=47, pattern=VERSIONED_ID)]
Reference = Annotated[str, Meta(pattern=r"^[A-Za-z0-9][A-Za-z0-9._:/# -]{0,63}$")]


class DeckSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A deck to be designed: the site, the house, the levels, and what the caller wants of the frame.

    One deck frame serves every level. Its origin is a point on the house wall line; x runs along the wall, from
    left to right for someone in the yard facing the house; y runs out into the yard. The datum is the ground at
    the origin: it is 0 in, and every height is measured up from it.
    """

    reference: Annotated[
        Reference | None,
        Meta(description="Caller's own reference, returned as given", examples=["LEAD-2041"]),
    ] = None
    jurisdiction: Annotated[
        VersionedId | None,
        Meta(
            description="Whose rules apply; needed unless rulebook, frost depth and snow load are given",
            examples=["alder-county"],
        ),
    ] = None
    rulebook: Annotated[
        VersionedId | None,
        Meta(
            description="Rulebook; @n pins a version; null: the one in force on as_of", examples=["irc-2021"]
        ),
    ] = None
    as_of: Annotated[
        dt.date | None,
        Meta(
            description="Day whose rules and prices apply, 2015 to 2099; null: today in the jurisdiction's time "
            "zone, in UTC without a jurisdiction",
            examples=["2026-11-25"],
        ),
    ] = None
    price_book: Annotated[
        VersionedId | None,
        Meta(
            description="Price book; @n pins a version; null: none, so no money in the answer",
            examples=["brindlemoor-yard"],
        ),
    ] = None
    site: Annotated[SiteSpec, Meta(description="The ground and the climate")] = field(
        default_factory=SiteSpec
    )
    house: Annotated[HouseSpec, Meta(description="The house wall")] = field(default_factory=HouseSpec)
    levels: Annotated[
        tuple[LevelSpec, ...], Meta(min_length=1, max_length=4, description="The levels of the deck")
    ]
    stairs: Annotated[tuple[StairSpec, ...], Meta(max_length=8, description="The stairs")] = ()
    heavy_objects: Annotated[
        tuple[HeavyObjectSpec, ...], Meta(max_length=8, description="Heavy things on the deck")
    ] = ()
    framing: Annotated[FramingSpec, Meta(description="What is wanted of the frame")] = field(
        default_factory=FramingSpec
    )
    foundation: Annotated[FoundationSpec, Meta(description="What is wanted of the footings")] = field(
        default_factory=FoundationSpec
    )
    crew: Annotated[CrewSpec | None, Meta(description="The crew; null: labour is not priced")] = None
    schedule: Annotated[ScheduleSpec, Meta(description="When work may start")] = field(
        default_factory=ScheduleSpec
    )
