"""The request of a drawing: a spec, which sheet, of which level, on which paper."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

import msgspec
from msgspec import Meta

from service.contract.choices import Paper, Sheet
from service.contract.problem import Allowed, Fault, pointer
from service.contract.spec import DeckSpec
from service.contract.spec_site import LevelId


class DrawingRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A deck to be designed and one sheet of it, or all of them as one PDF."""

    spec: Annotated[DeckSpec, Meta(description="The deck")]
    sheet: Annotated[Sheet, Meta(description="Which sheet; `all` is one PDF", examples=["framing_plan"])]
    level: Annotated[
        LevelId | None,
        Meta(description="One level of several; null: the whole deck", examples=["main"]),
    ] = None
    paper: Annotated[Paper, Meta(description="Paper, on its long side", examples=["letter"])]


def drawing_faults(asked: DrawingRequest) -> Iterator[Fault]:
    """Yield the faults between the fields of a request beside those of its spec.

    >>> from service.contract.spec_level import LevelSpec
    >>> levels = (LevelSpec(width_ft=16, projection_ft=12, surface_height_in=36),)
    >>> asked = DrawingRequest(spec=DeckSpec(levels=levels), sheet="section", level="upper", paper="letter")
    >>> [fault.pointer for fault in drawing_faults(asked)]
    ['/level']
    """
    known = tuple(level.id for level in asked.spec.levels)
    if asked.level is not None and asked.level not in known:
        detail = f"the spec has no level {asked.level}"
        yield Fault(pointer("level"), "unknown_level", detail, Allowed(one_of=known))
