"""The request of a stair layout: a rise to be divided, or the risers of a built stair."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

import msgspec
from msgspec import Meta

from service.contract.choices import Stringer
from service.contract.problem import Fault, pointer
from service.contract.spec import VersionedId

Rise = Annotated[float, Meta(ge=1, le=240)]
Risers = Annotated[tuple[Annotated[float, Meta(ge=1, le=24)], ...], Meta(min_length=2, max_length=60)]


class StairLayoutSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Either ``total_rise_in`` with a rulebook, or ``risers_in`` as measured."""

    total_rise_in: Annotated[
        Rise | None,
        Meta(description="Inches from the finished landing up to the deck's surface", examples=[34.0]),
    ] = None
    risers_in: Annotated[
        Risers | None,
        Meta(description="Risers of a built stair from the bottom, inches", examples=[[7.25, 7.25, 7.5]]),
    ] = None
    tread_in: Annotated[
        Annotated[float, Meta(ge=8, le=24)] | None,
        Meta(description="Tread depth, inches; null: 10.5, or not judged on a built stair", examples=[10.5]),
    ] = None
    width_in: Annotated[
        Annotated[float, Meta(ge=24, le=240)] | None,
        Meta(description="Clear width, inches; null: 36, or not judged on a built stair", examples=[48.0]),
    ] = None
    stringer: Annotated[Stringer, Meta(description="Kind of stringer", examples=["auto"])] = "auto"
    tread_thickness_in: Annotated[
        float, Meta(ge=0.5, le=3, description="Tread thickness, inches", examples=[1.0])
    ] = 1.0
    landing_finish_in: Annotated[
        float, Meta(ge=0, le=6, description="Finish still to come on the landing, inches", examples=[0.0])
    ] = 0.0
    rulebook: Annotated[
        VersionedId | None, Meta(description="Rulebook; needed with total_rise_in", examples=["irc-2021"])
    ] = None


def stair_layout_faults(spec: StairLayoutSpec) -> Iterator[Fault]:
    """Yield the faults between the fields of a stair layout.

    >>> [fault.code for fault in stair_layout_faults(StairLayoutSpec())]
    ['missing']
    """
    if spec.total_rise_in is None and spec.risers_in is None:
        yield Fault(pointer("total_rise_in"), "missing", "give total_rise_in, or else risers_in")
    if spec.total_rise_in is not None and spec.risers_in is not None:
        yield Fault(pointer("risers_in"), "both_given", "give either total_rise_in or risers_in")
    if spec.total_rise_in is not None and spec.rulebook is None:
        yield Fault(pointer("rulebook"), "missing", "a rise is divided by the rules of a rulebook")
